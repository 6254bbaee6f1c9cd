// Plane geometry of the drawing: all in centimetres.
import type { Box, Ground, Pt, Pt3 } from './model'

export function inside(p: Pt, o: readonly Pt[]): boolean {
  let is = false
  for (let i = 0, j = o.length - 1; i < o.length; j = i++) {
    const a = o[i]!
    const b = o[j]!
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) is = !is
  }
  return is
}

/** Signed area, positive counter-clockwise, cm². */
export function area(o: readonly Pt[]): number {
  let s = 0
  for (let i = 0; i < o.length; i++) {
    const a = o[i]!
    const b = o[(i + 1) % o.length]!
    s += a[0] * b[1] - b[0] * a[1]
  }
  return s / 2
}

/** The point of a stretch that lies nearest to p. */
export function nearestOn(p: Pt, a: Pt, b: Pt): Pt {
  const dx = b[0] - a[0]
  const dy = b[1] - a[1]
  const l = dx * dx + dy * dy
  const u = l === 0 ? 0 : Math.max(0, Math.min(1, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / l))
  return [a[0] + u * dx, a[1] + u * dy]
}

export const distance = (a: Pt, b: Pt): number => Math.hypot(a[0] - b[0], a[1] - b[1])

export function distanceTo(p: Pt, line: readonly Pt[], closed: boolean): number {
  let best = Infinity
  const n = closed ? line.length : line.length - 1
  if (line.length === 1) return distance(p, line[0]!)
  for (let i = 0; i < n; i++) best = Math.min(best, distance(p, nearestOn(p, line[i]!, line[(i + 1) % line.length]!)))
  return best
}

/** Turned about a middle, degrees counter-clockwise. */
export function turned(p: Pt, about: Pt, deg: number): Pt {
  const r = (deg * Math.PI) / 180
  const c = Math.cos(r)
  const s = Math.sin(r)
  const x = p[0] - about[0]
  const y = p[1] - about[1]
  return [about[0] + c * x - s * y, about[1] + s * x + c * y]
}

export const scaled = (p: Pt, about: Pt, f: number): Pt => [about[0] + (p[0] - about[0]) * f, about[1] + (p[1] - about[1]) * f]
export const mirrored = (p: Pt, x: number): Pt => [2 * x - p[0], p[1]]

/** Corners cut twice, so that an outline reads as drawn by hand (Chaikin's cutting). */
export function rounded(o: readonly Pt[]): Pt[] {
  let p = [...o]
  for (let k = 0; k < 2 && p.length > 2; k++) {
    const q: Pt[] = []
    for (let i = 0; i < p.length; i++) {
      const a = p[i]!
      const b = p[(i + 1) % p.length]!
      q.push([a[0] * 0.78 + b[0] * 0.22, a[1] * 0.78 + b[1] * 0.22], [a[0] * 0.22 + b[0] * 0.78, a[1] * 0.22 + b[1] * 0.78])
    }
    p = q
  }
  return p
}

/** A place, or the place of the glass nearest to one outside of it. */
export function intoGlass(p: Pt, o: readonly Pt[]): Pt {
  if (inside(p, o)) return p
  let best = p
  let d = Infinity
  for (let i = 0; i < o.length; i++) {
    const q = nearestOn(p, o[i]!, o[(i + 1) % o.length]!)
    if (distance(p, q) < d) {
      d = distance(p, q)
      best = q
    }
  }
  return best
}

/** Outline without corners that say nothing: those nearer to the line of their neighbours than a distance. */
export function simplified(o: readonly Pt[], within: number, closed = true): Pt[] {
  if (o.length < 4) return [...o]
  const keep = new Uint8Array(o.length)
  const walk = (a: number, b: number): void => {
    let far = -1
    let most = within
    for (let i = a + 1; i < b; i++) {
      const d = distance(o[i]!, nearestOn(o[i]!, o[a]!, o[b]!))
      if (d > most) {
        most = d
        far = i
      }
    }
    if (far < 0) return
    keep[far] = 1
    walk(a, far)
    walk(far, b)
  }
  keep[0] = 1
  keep[o.length - 1] = 1
  if (closed) {
    let opposite = 0
    for (let i = 1; i < o.length; i++) if (distance(o[i]!, o[0]!) > distance(o[opposite]!, o[0]!)) opposite = i
    keep[opposite] = 1
    walk(0, opposite)
    walk(opposite, o.length - 1)
  } else walk(0, o.length - 1)
  return o.filter((_, i) => keep[i])
}

/** Points at even distances along a line, ends included. */
export function along(line: readonly Pt[], n: number): Pt[] {
  if (line.length < 2 || n < 1) return line.slice(0, 1)
  const lengths = line.slice(1).map((p, i) => distance(p, line[i]!))
  const total = lengths.reduce((a, b) => a + b, 0)
  const out: Pt[] = []
  for (let k = 0; k < n; k++) {
    let d = n === 1 ? total / 2 : (total * k) / (n - 1)
    let i = 0
    while (i < lengths.length - 1 && d > lengths[i]!) d -= lengths[i++]!
    const u = lengths[i]! > 0 ? Math.min(1, d / lengths[i]!) : 0
    const a = line[i]!
    const b = line[i + 1]!
    out.push([a[0] + (b[0] - a[0]) * u, a[1] + (b[1] - a[1]) * u])
  }
  return out
}

export function lengthOf(line: readonly Pt[]): number {
  return line.slice(1).reduce((s, p, i) => s + distance(p, line[i]!), 0)
}

/** Places for n pots over an outline, as even as a grid of offset rows allows. */
export function spread(o: readonly Pt[], n: number): Pt[] {
  const a = Math.abs(area(o))
  if (o.length < 3 || a === 0 || n < 1) return o.slice(0, Math.max(0, n))
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const p of o) {
    x0 = Math.min(x0, p[0])
    y0 = Math.min(y0, p[1])
    x1 = Math.max(x1, p[0])
    y1 = Math.max(y1, p[1])
  }
  let best: Pt[] = []
  let step = Math.sqrt((a / n) * 1.1547) // rows of equal triangles
  for (let k = 0; k < 24; k++) {
    const out: Pt[] = []
    const rise = step * 0.866
    let row = 0
    for (let y = y0 + rise / 2; y < y1; y += rise, row++) for (let x = x0 + (row % 2 ? step : step / 2); x < x1; x += step) if (inside([x, y], o)) out.push([x, y])
    best = out
    if (out.length >= n) break
    step *= 0.96
  }
  // Where a few too many fit, every so-manieth is left out.
  return best.length <= n ? best : Array.from({ length: n }, (_, i) => best[Math.floor((i * best.length) / n)]!)
}

/** Height of the bed at a place, between the crossings of the lattice. */
export function heightAt(g: Ground, p: Pt): number {
  if (g.nx < 2 || g.ny < 2) return 0
  const fx = Math.max(0, Math.min(g.nx - 1, p[0] / g.dx))
  const fy = Math.max(0, Math.min(g.ny - 1, p[1] / g.dy))
  const x = Math.min(g.nx - 2, Math.floor(fx))
  const y = Math.min(g.ny - 2, Math.floor(fy))
  const u = fx - x
  const v = fy - y
  const at = (i: number, j: number): number => g.top[j * g.nx + i]!
  return (at(x, y) * (1 - u) + at(x + 1, y) * u) * (1 - v) + (at(x, y + 1) * (1 - u) + at(x + 1, y + 1) * u) * v
}

export const meets = (a: Box, b: Box): boolean => a[0] <= b[2] && a[2] >= b[0] && a[1] <= b[3] && a[3] >= b[1]
export const within = (a: Box, b: Box): boolean => a[0] >= b[0] && a[1] >= b[1] && a[2] <= b[2] && a[3] <= b[3]
export const flat = (p: Pt3): Pt => [p[0], p[1]]
export const round1 = (v: number): number => Math.round(v * 10) / 10 + 0
export const roundPt = (p: Pt): Pt => [round1(p[0]), round1(p[1])]

/** Everything around points at a distance, as the outline of a drawn mass (convex hull of small circles). */
export function hull(places: readonly Pt[], r: number): Pt[] {
  const pts: Pt[] = []
  for (const p of places) for (let i = 0; i < 8; i++) pts.push([p[0] + r * Math.cos((i * Math.PI) / 4), p[1] + r * Math.sin((i * Math.PI) / 4)])
  pts.sort((a, b) => a[0] - b[0] || a[1] - b[1])
  const half = (list: Pt[]): Pt[] => {
    const h: Pt[] = []
    for (const p of list) {
      while (h.length > 1) {
        const a = h[h.length - 2]!
        const b = h[h.length - 1]!
        if ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 0) break
        h.pop()
      }
      h.push(p)
    }
    h.pop()
    return h
  }
  return pts.length < 3 ? pts : [...half(pts), ...half([...pts].reverse())]
}
