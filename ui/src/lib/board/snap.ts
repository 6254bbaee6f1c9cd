// What a drag holds on to: the grid, the glass, edges and middles of what lies there. Each hold is a line that the drawing shows.
import type { Box, Pt } from './model'

export interface Hold {
  x: number | null // cm, where an upright line is held
  y: number | null
  kind: 'grid' | 'glass' | 'thing'
}
export interface Holds {
  grid: number // cm, 0 = none
  glass: boolean
  things: boolean
}

/** A shift of a box so that it holds on to what is near; reach in cm. Things go before glass, glass before grid. */
export function snap(box: Box, mid: Pt, holds: Holds, tank: Box, others: readonly Box[], reach: number): { dx: number; dy: number; holds: Hold[] } {
  const out = { dx: 0, dy: 0, holds: [] as Hold[] }
  const axis = (k: 0 | 1): void => {
    const own = [box[k], mid[k], box[(k + 2) as 2 | 3]]
    let best = reach
    let shift = 0
    let at = 0
    let kind: Hold['kind'] = 'grid'
    const test = (line: number, mine: number, what: Hold['kind'], worth: number): void => {
      const d = Math.abs(line - mine)
      if (d * worth < best) {
        best = d * worth
        shift = line - mine
        at = line
        kind = what
      }
    }
    if (holds.things) for (const o of others) for (const line of [o[k], (o[k] + o[(k + 2) as 2 | 3]) / 2, o[(k + 2) as 2 | 3]]) for (const m of own) test(line, m, 'thing', 1)
    if (holds.glass) {
      test(tank[k], own[0]!, 'glass', 1.01)
      test(tank[(k + 2) as 2 | 3], own[2]!, 'glass', 1.01)
      test((tank[k] + tank[(k + 2) as 2 | 3]) / 2, own[1]!, 'glass', 1.01)
    }
    if (holds.grid > 0 && best >= reach) {
      // The grid holds from anywhere: its lines are never farther than half a step.
      shift = Math.round(own[1]! / holds.grid) * holds.grid - own[1]!
      at = own[1]! + shift
      best = 0
      kind = 'grid'
    }
    if (best >= reach) return
    if (k === 0) out.dx = shift
    else out.dy = shift
    if (kind !== 'grid') out.holds.push({ x: k === 0 ? at : null, y: k === 1 ? at : null, kind })
  }
  axis(0)
  axis(1)
  return out
}
