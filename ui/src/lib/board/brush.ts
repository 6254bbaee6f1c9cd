// Raising, lowering, smoothing and levelling the bed with a brush. While the brush moves, the page changes its own copy of the heights; the
// stroke then goes to the engine, which shapes the plan's surface by it.
import { distance, heightAt, nearestOn } from './geometry'
import type { Edit, Ground, Pt } from './model'

export type Brush = 'raise' | 'lower' | 'smooth' | 'level'

/** How strongly a brush works at a share of its radius from its middle, 1 to 0 at its rim, as the engine has it; a levelled place is even up to its rim. */
export function weight(u: number, how: Brush): number {
  if (u >= 1) return 0
  return how === 'level' ? Math.min(1, (1 - u) / 0.3) : (1 - u * u) * (1 - u * u)
}

export interface Stroke {
  ground: Ground // with the heights as painted
  was: Ground
  how: Brush
  by: number // cm raised or lowered in the middle; height of a terrace; share of smoothing
  radius: number
  path: Pt[]
  near: Float32Array // how near the brush's middle came to each crossing, as a share of its radius
  highest: number
  steepest: number // degrees, where the brush has been
  steepestAt: Pt
}

export function begin(g: Ground, how: Brush, by: number, radius: number, highest: number): Stroke {
  return { ground: { ...g, top: g.top.slice(), slope: g.slope.slice() }, was: g, how, by, radius, path: [], near: new Float32Array(g.top.length).fill(1), highest, steepest: 0, steepestAt: [0, 0] }
}

// Mean of the heights on a ring around a place.
function around(g: Ground, p: Pt, radius: number): number {
  let sum = 0
  for (let k = 0; k < 8; k++) sum += heightAt(g, [p[0] + radius * Math.cos((k * Math.PI) / 4), p[1] + radius * Math.sin((k * Math.PI) / 4)]) / 8
  return sum
}

/** Leads the brush on to a place. A stroke works once wherever it passes: going to and fro does not heap up. */
export function lead(s: Stroke, p: Pt): void {
  const g = s.ground
  const from = s.path[s.path.length - 1] ?? p
  s.path.push(p)
  const x0 = Math.max(0, Math.floor((Math.min(p[0], from[0]) - s.radius) / g.dx))
  const x1 = Math.min(g.nx - 1, Math.ceil((Math.max(p[0], from[0]) + s.radius) / g.dx))
  const y0 = Math.max(0, Math.floor((Math.min(p[1], from[1]) - s.radius) / g.dy))
  const y1 = Math.min(g.ny - 1, Math.ceil((Math.max(p[1], from[1]) + s.radius) / g.dy))
  for (let y = y0; y <= y1; y++)
    for (let x = x0; x <= x1; x++) {
      const n = y * g.nx + x
      const q: Pt = [x * g.dx, y * g.dy]
      const u = distance(q, nearestOn(q, from, p)) / s.radius
      if (u >= s.near[n]!) continue
      s.near[n] = u
      const w = weight(u, s.how)
      const v = s.was.top[n]!
      const to = s.how === 'raise' ? v + s.by * w : s.how === 'lower' ? v - s.by * w : s.how === 'level' ? v + (s.by - v) * w : v + (around(s.was, q, 0.7 * s.radius) - v) * s.by * w
      g.top[n] = Math.max(0, Math.min(s.highest, to))
    }
  slopes(g, x0 - 1, y0 - 1, x1 + 1, y1 + 1)
  s.steepest = 0
  for (let n = 0; n < g.slope.length; n++)
    if (s.near[n]! < 1 && g.slope[n]! > s.steepest) {
      s.steepest = g.slope[n]!
      s.steepestAt = [(n % g.nx) * g.dx, Math.floor(n / g.nx) * g.dy]
    }
}

/** Slopes of the lattice anew, degrees. */
export function slopes(g: Ground, x0 = 0, y0 = 0, x1 = g.nx - 1, y1 = g.ny - 1): void {
  const at = (x: number, y: number): number => g.top[Math.max(0, Math.min(g.ny - 1, y)) * g.nx + Math.max(0, Math.min(g.nx - 1, x))]!
  for (let y = Math.max(0, y0); y <= Math.min(g.ny - 1, y1); y++)
    for (let x = Math.max(0, x0); x <= Math.min(g.nx - 1, x1); x++) {
      const across = (at(x + 1, y) - at(x - 1, y)) / ((x === 0 || x === g.nx - 1 ? 1 : 2) * g.dx)
      const deep = (at(x, y + 1) - at(x, y - 1)) / ((y === 0 || y === g.ny - 1 ? 1 : 2) * g.dy)
      g.slope[y * g.nx + x] = (Math.atan(Math.hypot(across, deep)) * 180) / Math.PI
    }
}

/** Bulk added (below 0: taken) by the stroke, L. */
export function litres(s: Stroke): number {
  let cm = 0
  for (let n = 0; n < s.ground.top.length; n++) cm += s.ground.top[n]! - s.was.top[n]!
  return (cm * s.was.dx * s.was.dy) / 1000
}

/** The stroke as an edit of the layer that it shapes: the uppermost with heights, else the lowest, which all others follow. */
export function edit(s: Stroke): Edit {
  const layers = s.was.layers
  const layer = [...layers].reverse().find((l) => l.points.length) ?? layers[0]
  const at = s.path.map((p): Pt => [Math.round(p[0] * 10) / 10, Math.round(p[1] * 10) / 10])
  const how = s.how === 'raise' ? { raise_cm: s.by } : s.how === 'lower' ? { raise_cm: -s.by } : s.how === 'level' ? { level_cm: s.by } : { smooth: s.by }
  return { op: 'brush', list: 'substrate/layers', id: String((layer?.index ?? 0) + 1), value: { at_cm: at, radius_cm: s.radius, ...how } }
}
