// How the plan lies on the screen: so many pixels to a centimetre, front glass below.
import type { Box, Pt } from './model'

export interface View {
  scale: number // pixels of a centimetre
  x: number // pixels of the front-left corner
  y: number
}
export const LEAST = 0.4
export const MOST = 60

/** The whole tank in a window with a margin for the rulers. */
export function fit(box: Box, width: number, height: number, margin = 34): View {
  const w = Math.max(1, box[2] - box[0])
  const h = Math.max(1, box[3] - box[1])
  const scale = Math.max(LEAST, Math.min(MOST, Math.min((width - 2 * margin) / w, (height - 2 * margin) / h)))
  return { scale, x: (width - w * scale) / 2 - box[0] * scale, y: (height + h * scale) / 2 + box[1] * scale }
}
export const toScreen = (v: View, p: Pt): Pt => [v.x + p[0] * v.scale, v.y - p[1] * v.scale]
export const toPlan = (v: View, p: Pt): Pt => [(p[0] - v.x) / v.scale, (v.y - p[1]) / v.scale]

/** Larger or smaller about a place of the screen, which stays where it is. */
export function zoom(v: View, by: number, at: Pt): View {
  const scale = Math.max(LEAST, Math.min(MOST, v.scale * by))
  const f = scale / v.scale
  return { scale, x: at[0] + (v.x - at[0]) * f, y: at[1] + (v.y - at[1]) * f }
}
export const pan = (v: View, dx: number, dy: number): View => ({ ...v, x: v.x + dx, y: v.y + dy })

/** Two fingers: what lay under both stays under both. */
export function pinch(v: View, from: [Pt, Pt], to: [Pt, Pt]): View {
  const d = (p: [Pt, Pt]) => Math.hypot(p[0][0] - p[1][0], p[0][1] - p[1][1])
  const mid = (p: [Pt, Pt]): Pt => [(p[0][0] + p[1][0]) / 2, (p[0][1] + p[1][1]) / 2]
  const a = mid(from)
  const b = mid(to)
  return pan(zoom(v, d(from) > 1 ? d(to) / d(from) : 1, a), b[0] - a[0], b[1] - a[1])
}

export interface Tick {
  at: number // cm
  label: string // empty for small ones
  long: boolean
}
const INCH = 2.54

/** Ticks of a ruler from a to b (cm), named so that words are at least so many pixels apart. */
export function ticks(a: number, b: number, scale: number, inches: boolean, apart = 44): Tick[] {
  const unit = inches ? INCH : 1
  const steps = inches ? [0.25, 0.5, 1, 2, 3, 6, 12, 24, 48] : [1, 2, 5, 10, 20, 50, 100, 200]
  const named = steps.find((s) => s * unit * scale >= apart) ?? steps[steps.length - 1]!
  const i = steps.indexOf(named)
  const small = steps.slice(0, i + 1).find((s) => s * unit * scale >= 5 && Math.abs(named / s - Math.round(named / s)) < 1e-9) ?? named
  const out: Tick[] = []
  for (let k = Math.ceil(a / unit / small - 1e-9); k * small * unit <= b + 1e-9; k++) {
    const v = k * small
    const is = Math.abs(v / named - Math.round(v / named)) < 1e-6
    out.push({ at: v * unit, label: is ? String(Math.round(v * 100) / 100) : '', long: is })
  }
  return out
}
