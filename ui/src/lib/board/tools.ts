// What a tool makes of the places pointed at: edits of the plan. Each tool takes one place, a line, an outline, two places or a brush's way.
import { asAngle, asLength, freshId } from './change'
import { along, area, distance, inside, intoGlass, lengthOf, roundPt, simplified } from './geometry'
import { boxAround, type Board, type Edit, type Hard, type Pt, type Pt3 } from './model'
import { under } from './pick'

export type Tool =
  | 'pick'
  | 'single' | 'mass' | 'row' | 'tied' | 'afloat'
  | 'stone' | 'slab' | 'root' | 'own'
  | 'raise' | 'lower' | 'smooth' | 'level' | 'height' | 'cover' | 'terrace'
  | 'lamp' | 'outlet' | 'inlet' | 'view' | 'mark'
  | 'measure' | 'section' | 'trace'
export type Takes = 'things' | 'one' | 'line' | 'outline' | 'two' | 'brush'
export const TAKES: Record<Tool, Takes> = {
  pick: 'things',
  single: 'one', mass: 'outline', row: 'line', tied: 'one', afloat: 'one',
  stone: 'one', slab: 'one', root: 'one', own: 'one',
  raise: 'brush', lower: 'brush', smooth: 'brush', level: 'brush', height: 'one', cover: 'outline', terrace: 'outline',
  lamp: 'one', outlet: 'one', inlet: 'one', view: 'two', mark: 'two',
  measure: 'two', section: 'two', trace: 'two',
}
export type Drawer = 'pick' | 'plants' | 'hard' | 'ground' | 'gear' | 'tape'
export const DRAWERS: { drawer: Drawer; tools: Tool[] }[] = [
  { drawer: 'pick', tools: ['pick'] },
  { drawer: 'plants', tools: ['single', 'mass', 'row', 'tied', 'afloat'] },
  { drawer: 'hard', tools: ['stone', 'slab', 'root', 'own'] },
  { drawer: 'ground', tools: ['raise', 'lower', 'smooth', 'level', 'height', 'cover', 'terrace'] },
  { drawer: 'gear', tools: ['lamp', 'outlet', 'inlet', 'view', 'mark'] },
  { drawer: 'tape', tools: ['measure', 'section', 'trace'] },
]
export const drawerOf = (t: Tool): Drawer => DRAWERS.find((d) => d.tools.includes(t))!.drawer

/** What the next thing will be: measures in cm. */
export interface Kit {
  species: string
  pots: number // of a single place
  apartCM: number // from pot to pot in masses and rows
  stoneMaterial: string
  woodMaterial: string
  stone: { l: number; w: number; h: number; rough: number }
  slab: { l: number; w: number; h: number }
  root: { l: number; h: number; thick: number; limbs: number }
  own: { file: string; sizeCM: number; wood: boolean }
  turn: number
  sinkCM: number
  heightCM: number // of a point of the ground or a terrace
  bedMaterial: string
  coverCM: number
  replace: boolean
  lamp: { x: number; y: number; above: number; flux: number }
  eyeCM: number
}
export const firstKit = (): Kit => ({
  species: '', pots: 1, apartCM: 5, stoneMaterial: 'slate', woodMaterial: 'waterlogged hardwood',
  stone: { l: 18, w: 13, h: 12, rough: 0.6 }, slab: { l: 24, w: 15, h: 5 }, root: { l: 30, h: 18, thick: 6, limbs: 4 }, own: { file: '', sizeCM: 30, wood: false },
  turn: 0, sinkCM: 2, heightCM: 8, bedMaterial: 'cosmetic sand', coverCM: 3, replace: true, lamp: { x: 50, y: 20, above: 30, flux: 90 }, eyeCM: 30,
})

export interface Made {
  edits: Edit[]
  key: string // of what was made; empty for changes of the ground
}

/** Pots of a mass over an outline, so far apart. */
export const potsOver = (o: readonly Pt[], apart: number): number => Math.max(1, Math.min(2000, Math.round(Math.abs(area(o)) / (apart * apart))))
export const potsAlong = (line: readonly Pt[], apart: number): number => Math.max(2, Math.min(500, Math.round(lengthOf(line) / apart) + 1))

/** A short name for an item from what it is. */
export function idFrom(words: string, taken: ReadonlySet<string>): string {
  const stem =
    words
      .toLowerCase()
      .normalize('NFD')
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '')
      .slice(0, 40) || 'item'
  return taken.has(stem) ? freshId(stem, taken) : stem
}

/** The edits of a tool, or null where the places do not serve: too few, or nothing to tie to. */
export function made(tool: Tool, shown: readonly Pt[], kit: Kit, b: Board, inches: boolean): Made | null {
  // A hand that slips over the glass means the glass.
  const points = tool === 'view' || tool === 'mark' ? shown : shown.map((p) => intoGlass(p, b.tank.outline))
  const taken = new Set(b.items.map((i) => i.id))
  const p = points[0]
  if (!p) return null
  const l = (cm: number): string => asLength(cm, inches)
  const add = (list: string, id: string, rest: Record<string, unknown>): Made => ({ edits: [{ op: 'add', list, id, value: { id, ...rest } }], key: `${list}/${id}` })
  const species = kit.species.trim()
  const plant = (rest: Record<string, unknown>): Made | null => (species ? add('plants', idFrom(species.split(' ').slice(0, 2).join(' '), taken), { species, ...rest }) : null)
  const turn = kit.turn ? { turn: asAngle(kit.turn) } : {}
  const sink = kit.sinkCM ? { sink: l(kit.sinkCM) } : {}
  const hard = (name: string, kind: 'stone' | 'wood', shape: Record<string, unknown>): Made =>
    add('hardscape', idFrom(name, taken), { kind, material: kind === 'stone' ? kit.stoneMaterial : kit.woodMaterial, shape, at: roundPt(p), ...turn, ...sink })
  switch (tool) {
    case 'single':
      return plant({ pots: points.length, at: points.map(roundPt) })
    case 'mass':
      return points.length < 3 ? null : plant({ pots: potsOver(points, kit.apartCM), in: simplified(points, 0.5).map(roundPt) })
    case 'row':
      return points.length < 2 ? null : plant({ pots: potsAlong(points, kit.apartCM), along: simplified(points, 0.5, false).map(roundPt) })
    case 'tied': {
      const piece = under(b.items, p, 2, (i) => i.list === 'hardscape')[0]
      if (!piece) return null
      // One pot sits where it was pointed at; several are spread over the piece.
      return plant(kit.pots > 1 ? { pots: kit.pots, on: piece.id } : { pots: 1, on: piece.id, at: [roundPt(p)] })
    }
    case 'afloat':
      return plant({ pots: Math.max(1, kit.pots), afloat: true })
    case 'stone':
      return hard('stone', 'stone', { boulder: { length: l(kit.stone.l), width: l(kit.stone.w), height: l(kit.stone.h), roughness: kit.stone.rough } })
    case 'slab':
      return hard('slab', 'stone', { slab: { length: l(kit.slab.l), width: l(kit.slab.w), thickness: l(kit.slab.h) } })
    case 'root':
      return hard('root', 'wood', { branch: { length: l(kit.root.l), height: l(kit.root.h), thick: l(kit.root.thick), limbs: kit.root.limbs } })
    case 'own':
      return kit.own.file ? hard(kit.own.file.replace(/^.*\/|\.\w+$/g, ''), kit.own.wood ? 'wood' : 'stone', { mesh: kit.own.file, size: l(kit.own.sizeCM) }) : null
    case 'height':
      return heights(b, [[...roundPt(p), kit.heightCM]])
    case 'cover':
      return points.length < 3
        ? null
        : { edits: [{ op: 'add', list: 'substrate/caps', value: { material: kit.bedMaterial, over: simplified(points, 0.5).map(roundPt), depth: l(kit.coverCM), ...(kit.replace ? { replace: true } : {}) } }], key: '' }
    case 'terrace':
      return points.length < 3 ? null : terrace(points, kit, b, taken, l)
    case 'lamp':
      return add('lamps', idFrom('lamp', taken), { kind: 'panel', at: roundPt(p), 'above-water': l(kit.lamp.above), size: inches ? `${trim(kit.lamp.x / 2.54)}x${trim(kit.lamp.y / 2.54)} in` : `${trim(kit.lamp.x)}x${trim(kit.lamp.y)} cm`, ppf: `${trim(kit.lamp.flux)} µmol/s`, power: `${trim(kit.lamp.flux / 2.2)} W`, beam: '120°' })
    case 'outlet':
    case 'inlet': {
      // A mouth goes to the filter that is chosen nearest to it, or makes the tank's first.
      const filters = b.items.filter((i) => i.list === 'filter')
      const near = (f: (typeof filters)[number]): number => Math.min(1e6, ...[...f.outlets, ...f.inlets].map((o) => distance(o, p)))
      const f = filters.sort((x, y) => near(x) - near(y))[0]
      const field = tool === 'outlet' ? 'outlets' : 'inlets'
      if (f) return { edits: [{ op: 'set', list: 'filter', id: f.id, field, value: [...f[field], p].map(roundPt) }], key: `filter/${f.id}` }
      return add('filter', idFrom('filter', taken), { flow: `${Math.max(100, Math.round(b.tank.litres * 4))} L/h`, media: `${Math.max(1, Math.round(b.tank.litres * 0.02))} L`, [field]: [roundPt(p)] })
    }
    case 'view':
    case 'mark': {
      const toward: Pt = points[1] ?? [b.tank.lengthCM / 2, b.tank.widthCM / 2]
      return add(`${tool}s`, idFrom(tool === 'view' ? 'view' : 'photo', taken), { at: roundPt(p), height: l(kit.eyeCM), toward: roundPt(toward) })
    }
  }
  return null
}

const trim = (v: number): string => String(Number(v.toFixed(1)))

// The layer whose top is shaped: the uppermost with points, else the lowest, which all others follow.
function shaped(b: Board): { index: number; points: Pt3[] } | null {
  const layers = b.ground.layers
  const l = [...layers].reverse().find((x) => x.points.length) ?? layers[0]
  if (!l) return null
  const h = l.depthCM
  const w = b.tank
  return { index: l.index, points: l.points.length ? l.points : [[0, 0, h], [w.lengthCM, 0, h], [0, w.widthCM, h], [w.lengthCM, w.widthCM, h]].map((q): Pt3 => [q[0]!, q[1]!, Math.round(q[2]! * 10) / 10]) }
}

function heights(b: Board, fresh: readonly Pt3[]): Made | null {
  const l = shaped(b)
  if (!l) return null
  // A point set near an old one takes its place.
  const points = [...l.points.filter((q) => !fresh.some((f) => distance([f[0], f[1]], [q[0], q[1]]) < 3)), ...fresh]
  return { edits: heightEdits(b, l.index, points), key: '' }
}

/** Edits that give a layer's top these points. */
export function heightEdits(b: Board, index: number, points: readonly Pt3[]): Edit[] {
  const id = String(index + 1)
  const even = (b.ground.layers[index]?.points.length ?? 0) === 0
  return [...(even ? [{ op: 'set' as const, list: 'substrate/layers', id, field: 'depth', value: null }] : []), { op: 'set', list: 'substrate/layers', id, field: 'heights/points', value: points }]
}

// A terrace: the ground within the outline brought to one height, and stones set along those sides of the outline where it falls away.
function terrace(points: readonly Pt[], kit: Kit, b: Board, taken: Set<string>, l: (cm: number) => string): Made {
  const o = simplified(points, 1)
  const box = boxAround(o)
  const radius = Math.max(4, Math.min(12, Math.min(box[2] - box[0], box[3] - box[1]) / 3))
  const way: Pt[] = []
  const step = radius * 0.6
  for (let y = box[1] + step / 2; y < box[3]; y += step) for (let x = box[0] + step / 2; x < box[2]; x += step) if (inside([x, y], o)) way.push([Math.round(x * 10) / 10, Math.round(y * 10) / 10])
  const layer = shaped(b)
  const edits: Edit[] = [{ op: 'brush', list: 'substrate/layers', id: String((layer?.index ?? 0) + 1), value: { at_cm: way.length ? way : o.map(roundPt), radius_cm: Math.round(radius * 10) / 10, level_cm: kit.heightCM } }]
  const size = Math.max(6, Math.min(14, kit.heightCM))
  const t = b.tank
  for (let i = 0; i < o.length; i++) {
    const a = o[i]!
    const c = o[(i + 1) % o.length]!
    const both = (at: (q: Pt) => boolean): boolean => at(a) && at(c)
    if (both((q) => q[0] < 3) || both((q) => q[1] < 3) || both((q) => q[0] > t.lengthCM - 3) || both((q) => q[1] > t.widthCM - 3)) continue // the glass holds it there
    const n = Math.max(1, Math.round(distance(a, c) / (size * 0.95)))
    const turn = (Math.atan2(c[1] - a[1], c[0] - a[0]) * 180) / Math.PI
    for (const q of along([[a[0] + (c[0] - a[0]) / n / 2, a[1] + (c[1] - a[1]) / n / 2], [c[0] - (c[0] - a[0]) / n / 2, c[1] - (c[1] - a[1]) / n / 2]], n)) {
      // Stones stay off the glass: pressed against it they scratch it.
      if (Math.min(q[0], q[1], t.lengthCM - q[0], t.widthCM - q[1]) < size * 0.65 + 1) continue
      const id = idFrom('terrace stone', taken)
      taken.add(id)
      edits.push({ op: 'add', list: 'hardscape', id, value: { id, kind: 'stone', material: kit.stoneMaterial, shape: { boulder: { length: l(size * 1.15), width: l(size * 0.7), height: l(size), roughness: 0.6 } }, at: roundPt(q), turn: asAngle(turn), sink: l(size * 0.3), group: 'terrace' } })
    }
  }
  return { edits, key: '' }
}

/** The piece of hardscape that a plant would be tied to. */
export function pieceUnder(b: Board, p: Pt): Hard | null {
  return (under(b.items, p, 2, (i) => i.list === 'hardscape')[0] as Hard | undefined) ?? null
}
