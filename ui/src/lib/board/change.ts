// Changes of chosen items: how they look at once on the drawing, and the edits of the plan's text that say the same.
import { flat, mirrored, roundPt, scaled, turned } from './geometry'
import { anchor, keyOf, type Board, type Edit, type Item, type Pt, type Pt3, type Shape } from './model'

/** A movement of chosen items as a whole: first turned and scaled about a middle, then moved. */
export interface Motion {
  dx: number
  dy: number
  turn: number // degrees
  scale: number
  mirror: boolean // left and right change places about the middle
  about: Pt
}
export const still = (about: Pt = [0, 0]): Motion => ({ dx: 0, dy: 0, turn: 0, scale: 1, mirror: false, about })
export const rests = (m: Motion): boolean => m.dx === 0 && m.dy === 0 && m.turn === 0 && m.scale === 1 && !m.mirror

export function through(m: Motion, p: Pt): Pt {
  let q = p
  if (m.mirror) q = mirrored(q, m.about[0])
  if (m.scale !== 1) q = scaled(q, m.about, m.scale)
  if (m.turn !== 0) q = turned(q, m.about, m.turn)
  return [q[0] + m.dx, q[1] + m.dy]
}
const degrees = (v: number): number => ((v % 360) + 360) % 360

/** The item as it lies after the motion. */
export function moved(i: Item, m: Motion): Item {
  if (rests(m)) return i
  const f = (p: Pt): Pt => through(m, p)
  switch (i.list) {
    case 'hardscape':
      return {
        ...i,
        at: f(i.at),
        // A piece seen in a mirror that stands across the tank is the piece mirrored along its own long axis, turned the other way round.
        turn: degrees((m.mirror ? 180 - i.turn : i.turn) + m.turn),
        tilt: m.mirror ? degrees(-i.tilt) : i.tilt,
        mirrored: i.mirrored !== m.mirror,
        shape: sized(i.shape, m.scale),
        outline: i.outline.map(f),
        topCM: i.baseCM + (i.topCM - i.baseCM) * m.scale,
        limbs: i.limbs.map((l) => {
          const a = f([l[0], l[1]])
          const b = f([l[3], l[4]])
          const z = (v: number) => i.baseCM + (v - i.baseCM) * m.scale
          return [a[0], a[1], z(l[2]), b[0], b[1], z(l[5]), l[6] * m.scale, l[7] * m.scale]
        }),
      }
    case 'plants':
      return { ...i, points: i.points.map(f), places: i.places.map((p): Pt3 => [...f(flat(p)), p[2]]) }
    case 'lamps':
      return { ...i, at: f(i.at), turn: degrees((m.mirror ? 180 - i.turn : i.turn) + m.turn) }
    case 'filter':
      return { ...i, outlets: i.outlets.map(f), inlets: i.inlets.map(f) }
    case 'views':
    case 'marks':
      return { ...i, at: f(i.at) }
  }
}

function sized(s: Shape, f: number): Shape {
  return f === 1 ? s : { ...s, lengthCM: s.lengthCM * f, widthCM: s.widthCM * f, heightCM: s.heightCM * f, thickCM: s.thickCM * f }
}

const trim = (v: number, digits: number): string => String(Number(v.toFixed(digits)))
/** A length as the plan writes it, in the units of the house. */
export const asLength = (cm: number, inches: boolean): string => (inches ? `${trim(cm / 2.54, 2)} in` : `${trim(cm, 1)} cm`)
export const asAngle = (deg: number): string => `${trim(degrees(deg), 1)}°`

/** The edits that bring the plan's text from one state of an item to another. */
export function edits(was: Item, is: Item, inches: boolean): Edit[] {
  const out: Edit[] = []
  const set = (field: string, value: unknown): number => out.push({ op: 'set', list: is.list, id: is.id, field, value })
  const differ = (a: unknown, b: unknown): boolean => JSON.stringify(a) !== JSON.stringify(b)
  if (was.group !== is.group) set('group', is.group || null)
  if (was.locked !== is.locked) set('locked', is.locked || null)
  if (was.list === 'hardscape' && is.list === 'hardscape') {
    if (differ(roundPt(was.at), roundPt(is.at))) set('at', roundPt(is.at))
    if (asAngle(was.turn) !== asAngle(is.turn)) set('turn', asAngle(is.turn))
    if (asAngle(was.tilt) !== asAngle(is.tilt)) set('tilt', asAngle(is.tilt))
    if (asAngle(was.lean) !== asAngle(is.lean)) set('lean', asAngle(is.lean))
    if (asLength(was.sinkCM, inches) !== asLength(is.sinkCM, inches)) set('sink', asLength(is.sinkCM, inches))
    if (was.mirrored !== is.mirrored) set('mirrored', is.mirrored || null)
    if (was.material !== is.material) set('material', is.material)
    for (const [field, a, b] of shapeFields(was.shape, is.shape)) {
      if (field.endsWith('roughness') || field.endsWith('limbs')) {
        if (a !== b) set(field, Number(b.toFixed(2)))
      } else if (asLength(a, inches) !== asLength(b, inches)) set(field, asLength(b, inches))
    }
  } else if (was.list === 'plants' && is.list === 'plants') {
    if (was.way !== 'on' && was.way !== 'afloat' && differ(was.points.map(roundPt), is.points.map(roundPt))) set(is.way, is.points.map(roundPt))
    // Where on its piece it is tied, if the plan says so: it goes with the piece.
    if (was.way === 'on' && is.points.length && differ(was.points.map(roundPt), is.points.map(roundPt))) set('at', is.points.map(roundPt))
    if (was.way === 'on' && was.on !== is.on) set('on', is.on)
    if (was.pots !== is.pots) set('pots', is.pots)
    if (was.species !== is.species) set('species', is.species)
    if (asLength(was.heightCM, inches) !== asLength(is.heightCM, inches)) set('height', is.heightCM > 0 ? asLength(is.heightCM, inches) : null)
  } else if (was.list === 'lamps' && is.list === 'lamps') {
    if (differ(roundPt(was.at), roundPt(is.at))) set('at', roundPt(is.at))
    if (asAngle(was.turn) !== asAngle(is.turn)) set('turn', asAngle(is.turn))
    if (asLength(was.aboveCM, inches) !== asLength(is.aboveCM, inches)) set('above-water', asLength(is.aboveCM, inches))
    if (was.flux !== is.flux) set('ppf', `${trim(is.flux, 1)} µmol/s`)
  } else if (was.list === 'filter' && is.list === 'filter') {
    if (differ(was.outlets.map(roundPt), is.outlets.map(roundPt))) set('outlets', is.outlets.map(roundPt))
    if (differ(was.inlets.map(roundPt), is.inlets.map(roundPt))) set('inlets', is.inlets.map(roundPt))
    if (was.flowLH !== is.flowLH) set('flow', `${trim(is.flowLH, 0)} L/h`)
  } else if ((was.list === 'views' && is.list === 'views') || (was.list === 'marks' && is.list === 'marks')) {
    if (differ(roundPt(was.at), roundPt(is.at))) set('at', roundPt(is.at))
    if (differ(roundPt(was.toward), roundPt(is.toward))) set('toward', roundPt(is.toward))
    if (asLength(was.heightCM, inches) !== asLength(is.heightCM, inches)) set('height', asLength(is.heightCM, inches))
    if (asLength(was.aimCM, inches) !== asLength(is.aimCM, inches)) set('aim', asLength(is.aimCM, inches))
    if (was.name !== is.name) set('name', is.name)
  }
  return out
}

function shapeFields(a: Shape, b: Shape): [string, number, number][] {
  const f = (k: string): string => `shape/${b.kind}/${k}`
  switch (b.kind) {
    case 'boulder':
      return [[f('length'), a.lengthCM, b.lengthCM], [f('width'), a.widthCM, b.widthCM], [f('height'), a.heightCM, b.heightCM], [f('roughness'), a.roughness, b.roughness]]
    case 'slab':
      return [[f('length'), a.lengthCM, b.lengthCM], [f('width'), a.widthCM, b.widthCM], [f('thickness'), a.heightCM, b.heightCM]]
    case 'branch':
      return [[f('length'), a.lengthCM, b.lengthCM], [f('height'), a.heightCM, b.heightCM], [f('thick'), a.thickCM, b.thickCM], [f('limbs'), a.limbs, b.limbs]]
    case 'mesh':
      return [['shape/size', a.lengthCM, b.lengthCM]]
  }
}

/** What follows a motion of the chosen: plants tied to a piece go with it. */
export function followers(items: readonly Item[], chosen: ReadonlySet<string>): Set<string> {
  const out = new Set<string>()
  for (const i of items) if (i.list === 'plants' && i.way === 'on' && chosen.has(`hardscape/${i.on}`) && !chosen.has(keyOf(i))) out.add(keyOf(i))
  return out
}

/** Items that a motion may move: neither locked nor tied to a piece that stays. */
export function movable(i: Item): boolean {
  return !i.locked && !(i.list === 'plants' && (i.way === 'on' || i.way === 'afloat' || i.event !== ''))
}

/** How far items can be moved before one of their places leaves the tank's rectangle: left, front, right, back. What lies outside already is not held. */
export function room(items: readonly Item[], length: number, width: number): [number, number, number, number] {
  const out: [number, number, number, number] = [-Infinity, -Infinity, Infinity, Infinity]
  for (const i of items) {
    const places: readonly Pt[] = i.list === 'plants' ? (i.way === 'on' || i.way === 'afloat' ? [] : i.points) : i.list === 'filter' ? [...i.outlets, ...i.inlets] : i.list === 'hardscape' || i.list === 'lamps' ? [i.at] : []
    for (const p of places) {
      if (p[0] >= 0 && p[0] <= length) {
        out[0] = Math.max(out[0], -p[0])
        out[2] = Math.min(out[2], length - p[0])
      }
      if (p[1] >= 0 && p[1] <= width) {
        out[1] = Math.max(out[1], -p[1])
        out[3] = Math.min(out[3], width - p[1])
      }
    }
  }
  return out
}

/** The board with some items put in others' places, until the server's own answer comes. */
export function withItems(b: Board, changed: ReadonlyMap<string, Item>): Board {
  return { ...b, items: b.items.map((i) => changed.get(keyOf(i)) ?? i) }
}

/** A new id like an old one that nothing on the board has yet. */
export function freshId(base: string, taken: ReadonlySet<string>): string {
  const stem = base.replace(/-\d+$/, '')
  if (!taken.has(stem) && stem !== base) return stem
  for (let n = 2; ; n++) if (!taken.has(`${stem}-${n}`)) return `${stem}-${n}`
}

/** Edits that were made on an older board: what they add under a name that is taken by now gets another. Answers the new names by the old. */
export function renamed(edits: readonly Edit[], taken: ReadonlySet<string>): { edits: Edit[]; names: Map<string, string> } {
  const names = new Map<string, string>()
  const all = new Set(taken)
  for (const e of edits)
    if (e.op === 'add' && e.id && taken.has(e.id)) {
      const id = freshId(e.id, all)
      names.set(e.id, id)
      all.add(id)
    }
  if (names.size === 0) return { edits: [...edits], names }
  return {
    edits: edits.map((e) => {
      if (e.op !== 'add') return e
      const value = e.value as { id?: string; on?: string }
      return { ...e, ...(e.id ? { id: names.get(e.id) ?? e.id } : {}), value: { ...value, ...(value.id ? { id: names.get(value.id) ?? value.id } : {}), ...(value.on ? { on: names.get(value.on) ?? value.on } : {}) } }
    }),
    names,
  }
}

/** What an item says in the plan's text, for adding it anew: moved by so much, under another id. */
export function written(i: Item, id: string, by: Pt, inches: boolean, on = ''): Record<string, unknown> {
  const p = (q: Pt): Pt => roundPt([q[0] + by[0], q[1] + by[1]])
  const l = (cm: number): string => asLength(cm, inches)
  switch (i.list) {
    case 'hardscape': {
      const s = i.shape
      const shape =
        s.kind === 'boulder' ? { boulder: { length: l(s.lengthCM), width: l(s.widthCM), height: l(s.heightCM), ...(s.roughness > 0 ? { roughness: s.roughness } : {}) } }
        : s.kind === 'slab' ? { slab: { length: l(s.lengthCM), width: l(s.widthCM), thickness: l(s.heightCM) } }
        : s.kind === 'branch' ? { branch: { length: l(s.lengthCM), height: l(s.heightCM), thick: l(s.thickCM), limbs: s.limbs } }
        : { mesh: s.file, size: l(s.lengthCM) }
      return {
        id, kind: i.kind, material: i.material, shape, at: p(i.at),
        ...(i.turn ? { turn: asAngle(i.turn) } : {}), ...(i.tilt ? { tilt: asAngle(i.tilt) } : {}), ...(i.lean ? { lean: asAngle(i.lean) } : {}),
        ...(i.sinkCM ? { sink: l(i.sinkCM) } : {}), ...(i.mirrored ? { mirrored: true } : {}), ...(i.group ? { group: i.group } : {}),
      }
    }
    case 'plants':
      return {
        id, species: i.species, pots: i.pots,
        ...(i.way === 'on' ? { on: on || i.on, ...(i.points.length ? { at: i.points.map(p) } : {}) } : i.way === 'afloat' ? { afloat: true } : { [i.way]: i.points.map(p) }),
        ...(i.heightCM > 0 ? { height: l(i.heightCM) } : {}), ...(i.group ? { group: i.group } : {}),
      }
    case 'lamps':
      return { id, kind: i.kind, at: p(i.at), 'above-water': l(i.aboveCM), size: inches ? `${trim(i.sizeCM[0] / 2.54, 2)}x${trim(i.sizeCM[1] / 2.54, 2)} in` : `${trim(i.sizeCM[0], 1)}x${trim(i.sizeCM[1], 1)} cm`, ...(i.flux > 0 ? { ppf: `${trim(i.flux, 1)} µmol/s` } : {}), ...(i.turn ? { turn: asAngle(i.turn) } : {}) }
    case 'filter':
      return { id, flow: `${trim(i.flowLH, 0)} L/h`, media: `${trim(i.flowLH / 250, 1)} L`, outlets: i.outlets.map(p), ...(i.inlets.length ? { inlets: i.inlets.map(p) } : {}) }
    case 'views':
    case 'marks':
      return { id, ...(i.name ? { name: i.name } : {}), at: p(i.at), height: l(i.heightCM), toward: roundPt(i.toward), aim: l(i.aimCM) }
  }
}

/** Chosen items laid out by an edge or middle, or with even gaps: a shift for each. */
export type Arrange = 'left' | 'right' | 'front' | 'back' | 'middle' | 'centre' | 'across' | 'deep'
export function arranged(items: readonly Item[], how: Arrange, box: (i: Item) => readonly [number, number, number, number]): Map<string, Pt> {
  const out = new Map<string, Pt>()
  if (items.length < 2) return out
  const b = items.map(box)
  const k = how === 'left' || how === 'right' || how === 'centre' || how === 'across' ? 0 : 1
  const put = (n: number, d: number): void => void out.set(keyOf(items[n]!), k === 0 ? [d, 0] : [0, d])
  if (how === 'across' || how === 'deep') {
    if (items.length < 3) return out
    const order = b.map((_, n) => n).sort((x, y) => b[x]![k]! + b[x]![k + 2]! - b[y]![k]! - b[y]![k + 2]!)
    const size = (n: number): number => b[n]![k + 2]! - b[n]![k]!
    const first = order[0]!
    const last = order[order.length - 1]!
    const room = b[last]![k + 2]! - b[first]![k]! - order.reduce((s, n) => s + size(n), 0)
    let at = b[first]![k]!
    for (const n of order) {
      put(n, at - b[n]![k]!)
      at += size(n) + room / (order.length - 1)
    }
    return out
  }
  const low = Math.min(...b.map((x) => x[k]!))
  const high = Math.max(...b.map((x) => x[k + 2]!))
  b.forEach((x, n) => put(n, how === 'left' || how === 'front' ? low - x[k]! : how === 'right' || how === 'back' ? high - x[k + 2]! : (low + high - x[k]! - x[k + 2]!) / 2))
  return out
}

/** The middle about which the chosen turn. */
export function middleOf(items: readonly Item[]): Pt {
  if (items.length === 1 && items[0]) return anchor(items[0])
  let x = 0
  let y = 0
  for (const i of items) {
    const a = anchor(i)
    x += a[0] / items.length
    y += a[1] / items.length
  }
  return [x, y]
}
