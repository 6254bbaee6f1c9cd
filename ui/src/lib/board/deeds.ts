// What buttons and keys do with what is chosen.
import * as server from '../../api/board'
import { many, t } from '../words'
import { freshId, middleOf, moved, movable, still, written } from './change'
import type { Draft } from './draft.svelte'
import { keyOf, type Edit, type Item, type Pt } from './model'
import { several } from './say'

export type Deed = 'mirror' | 'copy' | 'paste' | 'twice' | 'join' | 'part' | 'lock' | 'remove' | { turn?: number; tilt?: number; lean?: number; sink?: number; scale?: number }

const CLIP = 'littoral.board.clip' // what was copied: its tank and ids, shared by all windows of this browser

export function act(draft: Draft, what: Deed): void {
  const b = draft.board
  if (!b) return
  const items = draft.picked()
  const own = (i: Item): boolean => !(i.list === 'plants' && i.event !== '')
  const free = items.filter((i) => own(i) && (movable(i) || (i.list === 'plants' && !i.locked)))
  if (what === 'paste') {
    void paste(draft)
    return
  }
  if (items.length === 0) {
    draft.says = t('nothingChosen')
    return
  }
  if (typeof what === 'object') {
    const list = free.filter((i) => movable(i))
    if (list.length === 0) {
      draft.says = t('saidHeld')
      return
    }
    const about = middleOf(list)
    if (what.turn) draft.change(t('didTurn', { what: several(list) }), list.map((i) => moved(i, { ...still(about), turn: what.turn! })))
    if (what.scale) draft.change(t('didScale', { what: several(list) }), list.map((i) => moved(i, { ...still(about), scale: what.scale! })))
    const hard = list.filter((i) => i.list === 'hardscape')
    if ((what.tilt || what.lean || what.sink) && hard.length)
      draft.change(t('didTurn', { what: several(hard) }), hard.map((i) => ({ ...i, tilt: i.tilt + (what.tilt ?? 0), lean: i.lean + (what.lean ?? 0), sinkCM: Math.max(0, i.sinkCM + (what.sink ?? 0)) })))
    return
  }
  switch (what) {
    case 'mirror': {
      const list = free.filter(movable)
      const about = middleOf(list)
      draft.change(t('didMirror', { what: several(list) }), list.map((i) => moved(i, { ...still(about), mirror: true })))
      return
    }
    case 'copy':
      try {
        localStorage.setItem(CLIP, JSON.stringify({ tank: draft.tank, ids: items.filter(own).map((i) => keyOf(i)) }))
        draft.says = many('copiedN', items.length)
      } catch {
        draft.says = t('copyNot')
      }
      return
    case 'twice':
      duplicate(draft, items.filter(own), [3, -3])
      return
    case 'join': {
      const names = new Set(b.items.map((i) => i.group))
      let n = 1
      while (names.has(`group-${n}`)) n++
      draft.change(t('didJoin', { what: several(items) }), items.filter(groupable).map((i) => ({ ...i, group: `group-${n}` })))
      return
    }
    case 'part':
      draft.change(t('didPart'), items.filter(groupable).map((i) => ({ ...i, group: '' })))
      return
    case 'lock': {
      const list = items.filter(groupable)
      const locked = !list.every((i) => i.locked)
      draft.change(t(locked ? 'didLock' : 'didUnlock', { what: several(list) }), list.map((i) => ({ ...i, locked })))
      return
    }
    case 'remove': {
      const list = items.filter((i) => own(i) && !i.locked)
      if (list.length === 0) {
        draft.says = t('saidHeld')
        return
      }
      // What was tied to a piece goes with it: without the piece it would stand nowhere.
      const gone = new Set(list.map(keyOf))
      for (const i of b.items) if (i.list === 'plants' && i.way === 'on' && gone.has(`hardscape/${i.on}`)) gone.add(keyOf(i))
      const all = b.items.filter((i) => gone.has(keyOf(i)))
      void draft.send(t('didRemove', { what: several(all) }), [...all].sort((x, y) => Number(x.list === 'hardscape') - Number(y.list === 'hardscape')).map((i): Edit => ({ op: 'remove', list: i.list, id: i.id })))
      draft.choose([])
    }
  }
}

const groupable = (i: Item): boolean => i.list === 'hardscape' || (i.list === 'plants' && i.event === '')

function duplicate(draft: Draft, items: readonly Item[], by: Pt): void {
  const b = draft.board
  if (!b || items.length === 0) return
  const taken = new Set(b.items.map((i) => i.id))
  const ids = new Map<string, string>()
  for (const i of items) {
    const id = freshId(i.id, taken)
    taken.add(id)
    ids.set(i.id, id)
  }
  const edits = [...items]
    .sort((x, y) => Number(y.list === 'hardscape') - Number(x.list === 'hardscape'))
    .map((i): Edit => ({ op: 'add', list: i.list, id: ids.get(i.id)!, after: i.id, value: written({ ...i, group: '' }, ids.get(i.id)!, by, draft.inches(), i.list === 'plants' ? ids.get(i.on) ?? '' : '') }))
  void draft.send(t('didTwice', { what: several(items) }), edits, new Map(), items.map((i) => `${i.list}/${ids.get(i.id)!}`))
}

function copied(): { tank: string; ids: string[] } | null {
  try {
    return JSON.parse(localStorage.getItem(CLIP) ?? 'null') as { tank: string; ids: string[] } | null
  } catch {
    return null // a store that is closed or broken holds nothing
  }
}

async function paste(draft: Draft): Promise<void> {
  const clip = copied()
  if (!clip || !draft.board) {
    draft.says = t('pasteNone')
    return
  }
  if (clip.tank === draft.tank) {
    const keys = new Set(clip.ids)
    duplicate(draft, draft.board.items.filter((i) => keys.has(keyOf(i))), [5, -5])
    return
  }
  const ids = clip.ids.filter((k) => k.startsWith('hardscape/') || k.startsWith('plants/')).map((k) => k.slice(k.indexOf('/') + 1))
  if (ids.length) await draft.bring((revision) => server.copyFrom(draft.tank, revision, clip.tank, ids, [0, 0], many('didPaste', ids.length)))
  else draft.says = t('pasteNone')
}
