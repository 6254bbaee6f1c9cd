// Choosing what lies on the drawing: under a finger, in a rectangle, the next in order.
import { distance, distanceTo, flat, inside, meets } from './geometry'
import { anchor, boxOf, keyOf, type Board, type Box, type Item, type Pt } from './model'

/** What lies under a place, the uppermost first; reach in cm is how near a small thing must be. */
export function under(items: readonly Item[], p: Pt, reach: number, shown: (i: Item) => boolean = () => true): Item[] {
  const found: { item: Item; order: number }[] = []
  for (let n = items.length - 1; n >= 0; n--) {
    const i = items[n]!
    const b = boxOf(i)
    if (p[0] < b[0] - reach || p[0] > b[2] + reach || p[1] < b[1] - reach || p[1] > b[3] + reach || !shown(i)) continue
    const d = hit(i, p, reach)
    if (d !== null) found.push({ item: i, order: d })
  }
  return found.sort((a, b) => a.order - b.order).map((f) => f.item)
}

// Small and near before large: an order to sort by, or null for a miss.
function hit(i: Item, p: Pt, reach: number): number | null {
  switch (i.list) {
    case 'views':
    case 'marks':
      return distance(p, i.at) <= reach ? distance(p, i.at) : null
    case 'filter': {
      const d = Math.min(...[...i.outlets, ...i.inlets].map((o) => distance(p, o)))
      return d <= reach ? d : null
    }
    case 'plants': {
      let d = Infinity
      for (const q of i.places) d = Math.min(d, distance(p, flat(q)))
      if (d <= Math.max(reach, i.symbol === 'circle' ? Math.min(6, i.grownSpreadCM / 2) : 1.5)) return 10 + d
      if (i.way === 'in' && inside(p, i.points)) return 60
      if (i.way === 'along' && distanceTo(p, i.points, false) <= reach) return 40
      return d <= i.grownSpreadCM / 2 ? 50 + d : null
    }
    case 'hardscape': {
      for (const l of i.limbs) if (distanceTo(p, [[l[0], l[1]], [l[3], l[4]]], false) <= Math.max(l[6], reach)) return 30
      return (i.limbs.length === 0 && inside(p, i.outline)) || distance(p, i.at) <= reach ? 30 : null
    }
    case 'lamps': {
      const b = boxOf(i)
      const edge = Math.min(Math.abs(p[0] - b[0]), Math.abs(p[0] - b[2]), Math.abs(p[1] - b[1]), Math.abs(p[1] - b[3]))
      return edge <= reach || distance(p, i.at) <= reach ? 70 + edge : null // held by its rim: beneath it lies the whole tank
    }
  }
}

export function inBox(items: readonly Item[], box: Box): Item[] {
  return items.filter((i) => {
    const a = anchor(i)
    return i.list === 'lamps' || i.list === 'plants' ? a[0] >= box[0] && a[0] <= box[2] && a[1] >= box[1] && a[1] <= box[3] : meets(boxOf(i), box)
  })
}

/** Chosen keys with the rest of their groups. */
export function whole(items: readonly Item[], keys: Iterable<string>): Set<string> {
  const out = new Set(keys)
  const groups = new Set<string>()
  for (const i of items) if (i.group && out.has(keyOf(i))) groups.add(i.group)
  if (groups.size) for (const i of items) if (i.group && groups.has(i.group)) out.add(keyOf(i))
  return out
}

/** Items in the order of a walk over the drawing: rows from the back, each from the left. */
export function walk(b: Board): Item[] {
  const row = Math.max(8, b.tank.widthCM / 6)
  return [...b.items].sort((x, y) => {
    const p = anchor(x)
    const q = anchor(y)
    return Math.floor(q[1] / row) - Math.floor(p[1] / row) || p[0] - q[0] || keyOf(x).localeCompare(keyOf(y))
  })
}

/** The next item of the walk, or null past its end. */
export function next(order: readonly Item[], from: string | null, back: boolean): Item | null {
  if (from === null) return (back ? order[order.length - 1] : order[0]) ?? null
  const at = order.findIndex((i) => keyOf(i) === from)
  return order[at + (back ? -1 : 1)] ?? null
}
