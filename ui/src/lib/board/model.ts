// The board as the page holds it: what lies on the plan drawing, in centimetres from the front-left inside corner, x to the right, y to
// the back, z up from the bottom glass; angles in degrees, counter-clockwise seen from above.
export type Pt = [number, number]
export type Pt3 = [number, number, number]
export type List = 'hardscape' | 'plants' | 'lamps' | 'filter' | 'views' | 'marks'

export interface Common {
  id: string
  group: string
  locked: boolean
  line: number // of the plan's text
}
export type Limb = [number, number, number, number, number, number, number, number] // from x y z, to x y z, radii
export type ShapeKind = 'boulder' | 'slab' | 'branch' | 'mesh'
export interface Shape {
  kind: ShapeKind
  lengthCM: number // of a mesh its longest side
  widthCM: number
  heightCM: number // of a slab its thickness
  thickCM: number // trunk of a branch
  limbs: number
  roughness: number
  file: string
}
export interface Hard extends Common {
  list: 'hardscape'
  kind: 'stone' | 'wood'
  material: string
  at: Pt
  turn: number
  tilt: number
  lean: number
  sinkCM: number
  mirrored: boolean
  shape: Shape
  outline: Pt[]
  topCM: number
  baseCM: number
  massKG: number
  limbs: Limb[]
}
export type Way = 'in' | 'along' | 'at' | 'on' | 'afloat'
export type Symbol = 'circle' | 'hatch' | 'star' | 'sprig' | 'pads'
export interface Plant extends Common {
  list: 'plants'
  species: string
  pots: number
  way: Way
  points: Pt[]
  on: string
  places: Pt3[]
  event: string // of the event that plants it later; such plantings are only shown
  heightCM: number // as planted; 0 = a pot as bought
  grownHeightCM: number
  grownSpreadCM: number
  form: string
  colour: string
  symbol: Symbol
  number: number // of its species on this plan
  letter: string // where a species stands in several places
}
export interface Lamp extends Common {
  list: 'lamps'
  kind: string
  at: Pt
  sizeCM: Pt
  aboveCM: number
  turn: number
  flux: number // µmol/s at full power
}
export interface Filter extends Common {
  list: 'filter'
  flowLH: number
  outlets: Pt[]
  inlets: Pt[]
}
export interface Mark extends Common {
  list: 'views' | 'marks'
  name: string
  at: Pt
  heightCM: number // of the eye or lens
  toward: Pt
  aimCM: number // height of what it looks at
}
export type Item = Hard | Plant | Lamp | Filter | Mark

export interface Tank {
  shape: string
  outline: Pt[]
  lengthCM: number
  widthCM: number
  heightCM: number
  waterCM: number
  bowCM: number
  seenFrom: string[]
  litres: number // of water
  line: number
}
export interface Layer {
  index: number
  material: string
  points: Pt3[] // of its top; empty for an even layer
  depthCM: number // of an even layer
  litres: number
  kg: number
}
export interface Cap {
  index: number
  material: string
  outline: Pt[] // empty = everywhere
  depthCM: number
  replace: boolean
  barrier: boolean
  litres: number
  kg: number
}
export interface Bought {
  material: string
  litres: number
  kg: number
  bagL: number
  bags: number
  price: number
  currency: string
}
export interface Ground {
  nx: number
  ny: number
  dx: number // cm from one crossing of the lattice to the next
  dy: number
  top: Float32Array // height of the bed at the crossings, row by row from the front
  slope: Float32Array // degrees
  repose: number // degrees at which it begins to slide; 0 = no bed
  contours: { levelCM: number; lines: Pt[][] }[]
  layers: Layer[]
  caps: Cap[]
  bought: Bought[]
  litres: number
  kg: number
}
export interface Problem {
  line: number
  column: number
  message: string
  cure: string
  warning: boolean
}
export interface Note {
  id: string
  ids: string[]
  kind: string
  severity: string
  text: string
  cure: string
  at: Pt3 | null
}
export interface Board {
  revision: string
  text: string
  problems: Problem[]
  undo: { can: boolean; label: string }
  redo: { can: boolean; label: string }
  tank: Tank
  items: Item[]
  ground: Ground
  weight: { filledKG: number; hardscapeKG: number; loadKPa: number; allowedKPa: number; caution: string }
  notes: Note[]
}

/** One change of the plan: a field set, an item added, taken or moved in its list. */
export interface Edit {
  op: 'set' | 'add' | 'remove' | 'move' | 'brush'
  list: string
  id?: string
  field?: string
  value?: unknown
  after?: string
}

export const keyOf = (i: { list: string; id: string }): string => `${i.list}/${i.id}`

/** Where an item is taken hold of: its place, or the middle of its places. */
export function anchor(i: Item): Pt {
  switch (i.list) {
    case 'hardscape':
    case 'lamps':
    case 'views':
    case 'marks':
      return i.at
    case 'filter':
      return middle([...i.outlets, ...i.inlets])
    case 'plants':
      return i.points.length ? middle(i.points) : middle(i.places.map((p) => [p[0], p[1]]))
  }
}

function middle(p: readonly Pt[]): Pt {
  if (p.length === 0) return [0, 0]
  let x = 0
  let y = 0
  for (const q of p) {
    x += q[0]
    y += q[1]
  }
  return [x / p.length, y / p.length]
}

/** What an item covers seen from above, as a box: left, front, right, back. */
export type Box = [number, number, number, number]

export function boxOf(i: Item): Box {
  switch (i.list) {
    case 'hardscape':
      return i.outline.length ? boxAround(i.outline) : [i.at[0] - 2, i.at[1] - 2, i.at[0] + 2, i.at[1] + 2]
    case 'lamps': {
      const r = Math.abs(Math.sin((i.turn * Math.PI) / 180)) > 0.7 ? [i.sizeCM[1], i.sizeCM[0]] : i.sizeCM
      return [i.at[0] - r[0]! / 2, i.at[1] - r[1]! / 2, i.at[0] + r[0]! / 2, i.at[1] + r[1]! / 2]
    }
    case 'filter':
      return grow(boxAround([...i.outlets, ...i.inlets]), 2)
    case 'views':
    case 'marks':
      return grow([i.at[0], i.at[1], i.at[0], i.at[1]], 2)
    case 'plants': {
      const r = i.symbol === 'hatch' ? 0 : Math.max(1, i.grownSpreadCM / 2)
      const places: Pt[] = i.places.map((p) => [p[0], p[1]])
      return i.way === 'in' && i.points.length > 2 ? boxAround([...i.points]) : grow(boxAround(places.length ? places : i.points), r)
    }
  }
}

export function boxAround(p: readonly Pt[]): Box {
  const b: Box = [Infinity, Infinity, -Infinity, -Infinity]
  for (const q of p) {
    if (q[0] < b[0]) b[0] = q[0]
    if (q[1] < b[1]) b[1] = q[1]
    if (q[0] > b[2]) b[2] = q[0]
    if (q[1] > b[3]) b[3] = q[1]
  }
  return p.length ? b : [0, 0, 0, 0]
}
export const grow = (b: Box, r: number): Box => [b[0] - r, b[1] - r, b[2] + r, b[3] + r]
export const join = (a: Box, b: Box): Box => [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])]
