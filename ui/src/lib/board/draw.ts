// The plan drawing on canvas, in the hand of the house: contours with heights, stones faceted, wood drawn as wood, single plants as circles
// with radiating leaves, masses by hatch, loose stems by stars, sand by stipple. What rests is drawn once; what is dragged lies on a
// canvas of its own above it.
import { area, flat, hull, rounded, simplified } from './geometry'
import { anchor, boxOf, type Board, type Filter, type Ground, type Hard, type Item, type Lamp, type Mark, type Plant, type Pt } from './model'
import { ticks, toScreen, type View } from './view'

export interface Inks {
  paper: string
  deep: string
  deeper: string
  ink: string
  soft: string
  rule: string
  leaf: string
  moss: string
  red: string
  wood: string
  woodl: string
  stone: string
  sand: string
  water: string
  waterl: string
  warn: string
  warnt: string
}
const NAMES = ['paper', 'deep', 'deeper', 'ink', 'soft', 'rule', 'leaf', 'moss', 'red', 'wood', 'woodl', 'stone', 'sand', 'water', 'waterl', 'warn', 'warnt'] as const

export function inks(): Inks {
  const s = getComputedStyle(document.documentElement)
  return Object.fromEntries(NAMES.map((n) => [n, s.getPropertyValue(`--${n}`).trim() || '#888888'])) as unknown as Inks
}

type Ctx = CanvasRenderingContext2D
export interface Sheet {
  ctx: Ctx
  view: View
  inks: Inks
  width: number
  height: number
}
const faded = (hex: string, a: number): string => `${hex}${Math.round(Math.max(0, Math.min(1, a)) * 255).toString(16).padStart(2, '0')}`

/** A number that is always the same for the same thing, 0 to 1: for the small unevenness of a hand. */
export function grain(seed: string, n: number): number {
  let h = 2166136261 ^ n
  for (let i = 0; i < seed.length; i++) h = Math.imul(h ^ seed.charCodeAt(i), 16777619)
  h ^= h >>> 15
  h = Math.imul(h, 2246822519)
  h ^= h >>> 13
  return (h >>> 0) / 4294967296
}

function trace(s: Sheet, o: readonly Pt[], closed: boolean): void {
  const { ctx, view } = s
  ctx.beginPath()
  o.forEach((p, i) => {
    const q = toScreen(view, p)
    if (i === 0) ctx.moveTo(q[0], q[1])
    else ctx.lineTo(q[0], q[1])
  })
  if (closed) ctx.closePath()
}

export interface Layers {
  depth: boolean // bed shaded by height
  slope: boolean // steep places hatched
  contours: boolean
  grid: number // cm, 0 = none
  numbers: boolean
  lamps: boolean
}

export function ground(s: Sheet, b: Board, layers: Layers, inches: boolean): void {
  const { ctx, view, inks: k } = s
  const o = b.tank.outline
  ctx.save()
  trace(s, o, true)
  ctx.fillStyle = k.deep
  ctx.fill()
  ctx.clip()
  if (layers.depth) shade(s, b.ground)
  for (const c of b.ground.caps) if (c.outline.length > 2 || c.outline.length === 0) sand(s, c.outline.length ? rounded(c.outline) : o)
  if (layers.slope) steep(s, b.ground)
  if (layers.contours) contours(s, b, inches)
  if (layers.grid > 0 && layers.grid * view.scale >= 6) {
    ctx.strokeStyle = faded(k.rule, 0.55)
    ctx.lineWidth = 0.6
    ctx.beginPath()
    for (let x = 0; x <= b.tank.lengthCM; x += layers.grid) {
      const p = toScreen(view, [x, 0])
      ctx.moveTo(p[0], p[1])
      ctx.lineTo(p[0], toScreen(view, [x, b.tank.widthCM])[1])
    }
    for (let y = 0; y <= b.tank.widthCM; y += layers.grid) {
      const p = toScreen(view, [0, y])
      ctx.moveTo(p[0], p[1])
      ctx.lineTo(toScreen(view, [b.tank.lengthCM, y])[0], p[1])
    }
    ctx.stroke()
  }
  ctx.restore()
}

export function glass(s: Sheet, b: Board): void {
  const { ctx, inks: k } = s
  trace(s, b.tank.outline, true)
  ctx.strokeStyle = k.ink
  ctx.lineWidth = 2
  ctx.stroke()
}

// The bed darkens with its height, in the colour of wood: a wash, not a map.
let shadeOf: { ground: Ground; hue: string; image: HTMLCanvasElement } | null = null
function shade(s: Sheet, g: Ground): void {
  if (g.nx < 1 || g.ny < 1) return
  if (!shadeOf || shadeOf.ground !== g || shadeOf.hue !== s.inks.wood) {
    const image = document.createElement('canvas')
    image.width = g.nx
    image.height = g.ny
    paintShade(image, g, s.inks.wood)
    shadeOf = { ground: g, hue: s.inks.wood, image }
  }
  // The lattice's crossings are the middles of the picture's dots.
  const a = toScreen(s.view, [-g.dx / 2, (g.ny - 0.5) * g.dy])
  s.ctx.imageSmoothingEnabled = true
  s.ctx.drawImage(shadeOf.image, a[0], a[1], g.nx * g.dx * s.view.scale, g.ny * g.dy * s.view.scale)
}
/** The wash anew where a brush has changed the heights. */
export function reshade(): void {
  shadeOf = null
}
function paintShade(image: HTMLCanvasElement, g: Ground, hue: string): void {
  const c = image.getContext('2d')
  if (!c) return
  let low = Infinity
  let high = -Infinity
  for (const v of g.top) {
    low = Math.min(low, v)
    high = Math.max(high, v)
  }
  const span = Math.max(4, high - low)
  const data = c.createImageData(g.nx, g.ny)
  const rgb = [1, 3, 5].map((i) => parseInt(hue.slice(i, i + 2), 16))
  for (let y = 0; y < g.ny; y++)
    for (let x = 0; x < g.nx; x++) {
      const v = g.top[y * g.nx + x]!
      const n = ((g.ny - 1 - y) * g.nx + x) * 4
      data.data[n] = rgb[0]!
      data.data[n + 1] = rgb[1]!
      data.data[n + 2] = rgb[2]!
      data.data[n + 3] = 8 + 58 * ((v - low) / span)
    }
  c.putImageData(data, 0, 0)
}

function steep(s: Sheet, g: Ground): void {
  const { ctx, view, inks: k } = s
  ctx.strokeStyle = faded(k.warn, 0.75)
  ctx.lineWidth = 1
  ctx.beginPath()
  const r = Math.max(2, g.dx * view.scale * 0.5)
  const limit = g.repose > 0 ? g.repose : 90
  for (let y = 0; y < g.ny; y++)
    for (let x = 0; x < g.nx; x++)
      if (g.slope[y * g.nx + x]! > limit) {
        const p = toScreen(view, [x * g.dx, y * g.dy])
        ctx.moveTo(p[0] - r, p[1] + r)
        ctx.lineTo(p[0] + r, p[1] - r)
      }
  ctx.stroke()
}

let sandTile: { hue: string; pattern: CanvasPattern | null } | null = null
function sand(s: Sheet, o: readonly Pt[]): void {
  const { ctx, inks: k } = s
  if (!sandTile || sandTile.hue !== k.wood) {
    const tile = document.createElement('canvas')
    tile.width = tile.height = 42
    const c = tile.getContext('2d')
    if (c) {
      c.fillStyle = faded(k.wood, 0.7)
      for (let i = 0; i < 49; i++) {
        c.beginPath()
        c.arc(6 * (i % 7) + 6 * grain('sand', i), 6 * Math.floor(i / 7) + 6 * grain('sand', i + 99), 0.45 + 0.35 * grain('sand', i + 200), 0, 7)
        c.fill()
      }
    }
    sandTile = { hue: k.wood, pattern: ctx.createPattern(tile, 'repeat') }
  }
  trace(s, o, true)
  ctx.fillStyle = k.sand
  ctx.fill()
  if (sandTile.pattern) {
    ctx.fillStyle = sandTile.pattern
    ctx.fill()
  }
  ctx.strokeStyle = faded(k.wood, 0.5)
  ctx.lineWidth = 0.7
  ctx.stroke()
}

function contours(s: Sheet, b: Board, inches: boolean): void {
  const { ctx, view, inks: k } = s
  const unit = inches ? 2.54 : 1
  const strong = inches ? 1 : 5
  const seen = new Set<string>()
  ctx.font = '400 11px "Source Sans 3", sans-serif'
  ctx.textAlign = 'center'
  ctx.textBaseline = 'middle'
  for (const c of b.ground.contours) {
    const v = c.levelCM / unit
    const bold = Math.abs(v / strong - Math.round(v / strong)) < 1e-6
    ctx.strokeStyle = faded(k.wood, bold ? 0.75 : 0.32)
    ctx.lineWidth = bold ? 1.1 : 0.7
    for (const line of c.lines) {
      trace(s, line, false)
      ctx.stroke()
    }
    if (!bold) continue
    for (const line of c.lines) {
      if (line.length < 8) continue
      const p = line[Math.floor(line.length * 0.5)]!
      const q = toScreen(view, p)
      const slot = `${Math.round(q[0] / 60)},${Math.round(q[1] / 30)}`
      if (seen.has(slot)) continue
      seen.add(slot)
      const text = `${Math.round(v * 10) / 10} ${inches ? 'in' : 'cm'}`
      const w = ctx.measureText(text).width
      ctx.fillStyle = k.deep
      ctx.fillRect(q[0] - w / 2 - 2, q[1] - 7, w + 4, 13)
      ctx.fillStyle = k.soft
      ctx.fillText(text, q[0], q[1])
    }
  }
}

export interface Look {
  chosen: boolean
  faint: boolean // locked things stand back a little while others are moved
}

export function item(s: Sheet, i: Item, look: Look = { chosen: false, faint: false }): void {
  switch (i.list) {
    case 'hardscape': return hard(s, i)
    case 'plants': return plant(s, i)
    case 'lamps': return lamp(s, i)
    case 'filter': return mouths(s, i)
    case 'views':
    case 'marks': return mark(s, i, look)
  }
}

function hard(s: Sheet, i: Hard): void {
  if (i.kind === 'wood' && i.limbs.length) wood(s, i)
  else if (i.outline.length > 2) stone(s, i)
  else dot(s, i.at, 4, s.inks.stone, s.inks.ink)
}

// Facets: from the corners of the outline to a smaller outline, moved a little to the left and back, where light would come from.
function stone(s: Sheet, i: Hard): void {
  const { ctx, view, inks: k } = s
  const fine = 1.2 / view.scale
  const o = simplified(i.outline, Math.max(fine, Math.sqrt(Math.abs(area(i.outline))) * 0.025))
  trace(s, o, true)
  ctx.fillStyle = i.kind === 'wood' ? k.woodl : k.stone
  ctx.fill()
  ctx.strokeStyle = i.kind === 'wood' ? k.wood : k.ink
  ctx.lineWidth = 1.3
  ctx.lineJoin = 'round'
  ctx.stroke()
  if (o.length < 4) return
  let mx = 0
  let my = 0
  for (const p of o) {
    mx += p[0] / o.length
    my += p[1] / o.length
  }
  const size = Math.sqrt(Math.abs(area(o)))
  const c: Pt = [mx - size * 0.07, my + size * 0.07]
  const step = Math.max(1, Math.round(o.length / 7))
  const inner: Pt[] = []
  ctx.beginPath()
  for (let n = 0; n < o.length; n += step) {
    const p = o[n]!
    const f = 0.42 + 0.22 * grain(i.id, n)
    const q: Pt = [c[0] + (p[0] - c[0]) * f, c[1] + (p[1] - c[1]) * f]
    inner.push(q)
    const a = toScreen(view, p)
    const b = toScreen(view, q)
    ctx.moveTo(a[0], a[1])
    ctx.lineTo(b[0], b[1])
  }
  ctx.strokeStyle = faded(i.kind === 'wood' ? k.wood : k.ink, 0.5)
  ctx.lineWidth = 0.7
  ctx.stroke()
  trace(s, inner, true)
  ctx.fillStyle = faded(k.paper, 0.35)
  ctx.fill()
  ctx.stroke()
}

function wood(s: Sheet, i: Hard): void {
  const { ctx, view, inks: k } = s
  const skin = (l: Hard['limbs'][number], more: number): void => {
    const a = toScreen(view, [l[0], l[1]])
    const b = toScreen(view, [l[3], l[4]])
    const ra = Math.max(0.8, l[6] * view.scale) + more
    const rb = Math.max(0.5, l[7] * view.scale) + more
    const d = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1
    const nx = -(b[1] - a[1]) / d
    const ny = (b[0] - a[0]) / d
    ctx.moveTo(a[0] + nx * ra, a[1] + ny * ra)
    ctx.lineTo(b[0] + nx * rb, b[1] + ny * rb)
    ctx.lineTo(b[0] - nx * rb, b[1] - ny * rb)
    ctx.lineTo(a[0] - nx * ra, a[1] - ny * ra)
    ctx.closePath()
    ctx.moveTo(a[0] + ra, a[1])
    ctx.arc(a[0], a[1], ra, 0, 6.3)
    ctx.moveTo(b[0] + rb, b[1])
    ctx.arc(b[0], b[1], rb, 0, 6.3)
  }
  ctx.fillStyle = k.wood
  ctx.beginPath()
  for (const l of i.limbs) skin(l, 0.9)
  ctx.fill('nonzero')
  ctx.fillStyle = k.woodl
  ctx.beginPath()
  for (const l of i.limbs) skin(l, -0.1)
  ctx.fill('nonzero')
  // The run of the grain: one thin line in each limb that is wide enough to have one.
  ctx.strokeStyle = faded(k.wood, 0.55)
  ctx.lineWidth = 0.6
  ctx.beginPath()
  for (const l of i.limbs) {
    if (l[6] * view.scale < 2.5) continue
    const a = toScreen(view, [l[0], l[1]])
    const b = toScreen(view, [l[3], l[4]])
    ctx.moveTo(a[0], a[1] - l[6] * view.scale * 0.3)
    ctx.lineTo(b[0], b[1] - l[7] * view.scale * 0.3)
  }
  ctx.stroke()
}

// Colours come as #RRGGBB; the drawing knows a green and a red.
const reddish = (c: string): boolean => parseInt(c.slice(1, 3), 16) > 1.25 * parseInt(c.slice(3, 5), 16)

const leafHue = (k: Inks, i: Plant): string => (reddish(i.colour) ? k.red : i.symbol === 'hatch' || i.symbol === 'sprig' ? k.moss : k.leaf)

const hatches = new Map<string, CanvasPattern | null>()
function hatch(ctx: Ctx, hue: string, number: number): CanvasPattern | null {
  const key = `${hue}/${number % 18}`
  let p = hatches.get(key)
  if (p === undefined) {
    const gap = 5.5 + 1.4 * (number % 3)
    const tile = document.createElement('canvas')
    tile.width = Math.round(gap * 10)
    tile.height = 16
    const c = tile.getContext('2d')
    if (c) {
      c.strokeStyle = faded(hue, 0.65)
      c.lineWidth = 0.9
      c.beginPath()
      for (let n = 0; n < 10; n++) {
        c.moveTo(gap * (n + 0.5), 0)
        c.lineTo(gap * (n + 0.5), 16)
      }
      c.stroke()
    }
    p = ctx.createPattern(tile, 'repeat')
    p?.setTransform(new DOMMatrix().rotate([-35, 20, -65, 55, -10, 80][number % 6]!))
    hatches.set(key, p)
  }
  return p
}

const outlines = new WeakMap<Plant, Pt[]>()
function massOutline(i: Plant): Pt[] {
  let o = outlines.get(i)
  if (!o) {
    o = i.way === 'in' && i.points.length > 2 ? rounded(i.points) : rounded(hull(i.places.map(flat), Math.max(1.5, Math.min(6, i.grownSpreadCM / 2))))
    outlines.set(i, o)
  }
  return o
}

function plant(s: Sheet, i: Plant): void {
  const { ctx, view, inks: k } = s
  const hue = leafHue(k, i)
  if (i.symbol === 'hatch') {
    trace(s, massOutline(i), true)
    ctx.fillStyle = faded(hue, 0.16)
    ctx.fill()
    const p = hatch(ctx, hue, i.number)
    if (p) {
      ctx.fillStyle = p
      ctx.fill()
    }
    ctx.strokeStyle = hue
    ctx.lineWidth = 1.1
    ctx.stroke()
    return
  }
  if (i.way === 'in' && i.points.length > 2 && i.symbol !== 'pads') {
    trace(s, massOutline(i), true)
    ctx.fillStyle = faded(hue, 0.07)
    ctx.fill()
    ctx.strokeStyle = faded(hue, 0.5)
    ctx.lineWidth = 0.8
    ctx.setLineDash([5, 3])
    ctx.stroke()
    ctx.setLineDash([])
  }
  const r = Math.max(1, (i.grownSpreadCM / 2) * view.scale)
  for (const q of i.places) {
    const p = toScreen(view, flat(q))
    if (p[0] < -r || p[1] < -r || p[0] > s.width + r || p[1] > s.height + r) continue
    switch (i.symbol) {
      case 'circle': stamp(s, 'circle', p, r, hue); break
      case 'star': stamp(s, 'star', p, Math.max(3, Math.min(9, 1.6 * view.scale)), hue); break
      case 'sprig': stamp(s, 'sprig', p, Math.max(3, Math.min(10, r)), hue); break
      default: stamp(s, 'pads', p, Math.max(2.5, Math.min(12, r)), hue)
    }
  }
}

// A symbol drawn once for each size and hue, and laid down like a stamp: thousands of plantings then cost one call each.
type Stamp = 'circle' | 'star' | 'sprig' | 'pads'
const stamps = new Map<string, HTMLCanvasElement>()
const MOST_STAMPS = 600
const LARGEST_STAMP = 90 // pixels of radius; larger ones are few and drawn outright
function stamp(s: Sheet, kind: Stamp, p: Pt, r: number, hue: string): void {
  const { ctx, inks: k } = s
  const put = (c: Ctx, at: Pt, size: number): void => {
    if (kind === 'circle') rosette(c, at, size, hue, k)
    else if (kind === 'star') star(c, at, size, hue)
    else if (kind === 'sprig') sprig(c, at, size, hue)
    else pad(c, at, size, hue)
  }
  if (r > LARGEST_STAMP) {
    put(ctx, p, r)
    return
  }
  const size = Math.round(r * 2) / 2
  const sharp = ctx.getTransform().a
  const key = `${kind}/${hue}/${k.ink}/${size}/${sharp}`
  let c = stamps.get(key)
  const half = Math.ceil(size) + 2
  if (!c) {
    if (stamps.size > MOST_STAMPS) stamps.clear()
    c = document.createElement('canvas')
    c.width = c.height = Math.ceil(2 * half * sharp)
    const own = c.getContext('2d')
    if (!own) return
    own.scale(sharp, sharp)
    put(own, [half, half], size)
    stamps.set(key, c)
  }
  ctx.drawImage(c, p[0] - half, p[1] - half, 2 * half, 2 * half)
}

const leaves = new Map<number, Path2D>()
// A rosette of unit radius: leaves as lenses from the middle to the rim.
function rosettePath(n: number): Path2D {
  let p = leaves.get(n)
  if (!p) {
    p = new Path2D()
    for (let i = 0; i < n; i++) {
      const a = (i / n) * 2 * Math.PI + 0.2
      const at = (r: number, d: number): [number, number] => [r * Math.cos(a + d), r * Math.sin(a + d)]
      p.moveTo(0, 0)
      p.quadraticCurveTo(...at(0.55, 0.28), ...at(0.93, 0))
      p.quadraticCurveTo(...at(0.55, -0.28), 0, 0)
    }
    leaves.set(n, p)
  }
  return p
}
function rosette(ctx: Ctx, p: Pt, r: number, hue: string, k: Inks): void {
  ctx.beginPath()
  ctx.arc(p[0], p[1], r, 0, 6.284)
  ctx.fillStyle = faded(hue, 0.1)
  ctx.fill()
  ctx.strokeStyle = hue
  ctx.lineWidth = 1
  ctx.stroke()
  if (r > 5) {
    ctx.save()
    ctx.translate(p[0], p[1])
    ctx.scale(r, r)
    ctx.lineWidth = 0.8 / r
    const path = rosettePath(r > 14 ? 11 : 7)
    ctx.fillStyle = faded(hue, 0.28)
    ctx.fill(path)
    ctx.stroke(path)
    ctx.restore()
  }
  ctx.beginPath()
  ctx.arc(p[0], p[1], Math.min(2, r * 0.3), 0, 6.284)
  ctx.fillStyle = k.ink
  ctx.fill()
}
function star(ctx: Ctx, p: Pt, r: number, hue: string): void {
  ctx.beginPath()
  for (let i = 0; i < 4; i++) {
    const a = (i * Math.PI) / 4 + 0.15
    ctx.moveTo(p[0] - r * Math.cos(a), p[1] - r * Math.sin(a))
    ctx.lineTo(p[0] + r * Math.cos(a), p[1] + r * Math.sin(a))
  }
  ctx.strokeStyle = hue
  ctx.lineWidth = 1.1
  ctx.stroke()
}
function sprig(ctx: Ctx, p: Pt, r: number, hue: string): void {
  ctx.beginPath()
  ctx.moveTo(p[0], p[1] + r)
  ctx.lineTo(p[0], p[1] - r)
  for (const h of [0.35, -0.15, -0.6]) {
    ctx.moveTo(p[0] - r * 0.7, p[1] + r * (h - 0.35))
    ctx.lineTo(p[0], p[1] + r * h)
    ctx.lineTo(p[0] + r * 0.7, p[1] + r * (h - 0.35))
  }
  ctx.strokeStyle = hue
  ctx.lineWidth = 1.2
  ctx.stroke()
}
function pad(ctx: Ctx, p: Pt, r: number, hue: string): void {
  ctx.beginPath()
  ctx.arc(p[0], p[1], r, 0.4, 6)
  ctx.lineTo(p[0], p[1])
  ctx.closePath()
  ctx.fillStyle = faded(hue, 0.15)
  ctx.fill()
  ctx.strokeStyle = hue
  ctx.lineWidth = 1
  ctx.stroke()
}

function lamp(s: Sheet, i: Lamp): void {
  const { ctx, view, inks: k } = s
  const p = toScreen(view, i.at)
  const w = i.sizeCM[0] * view.scale
  const h = i.sizeCM[1] * view.scale
  ctx.save()
  ctx.translate(p[0], p[1])
  ctx.strokeStyle = k.waterl
  ctx.lineWidth = 1.1
  ctx.setLineDash([8, 3, 2, 3])
  ctx.strokeRect(-w / 2, -h / 2, w, h)
  ctx.setLineDash([])
  ctx.beginPath()
  const r = 6
  ctx.arc(0, 0, r * 0.5, 0, 6.284)
  for (let n = 0; n < 8; n++) {
    const a = (n * Math.PI) / 4
    ctx.moveTo(r * 0.8 * Math.cos(a), r * 0.8 * Math.sin(a))
    ctx.lineTo(r * 1.4 * Math.cos(a), r * 1.4 * Math.sin(a))
  }
  ctx.stroke()
  ctx.restore()
}

function mouths(s: Sheet, i: Filter): void {
  const { ctx, view, inks: k } = s
  ctx.strokeStyle = k.waterl
  ctx.lineWidth = 1.4
  for (const [out, list] of [[true, i.outlets], [false, i.inlets]] as const)
    for (const o of list) {
      const p = toScreen(view, o)
      ctx.beginPath()
      ctx.arc(p[0], p[1], 6, 0, 6.284)
      ctx.fillStyle = k.water
      ctx.fill()
      ctx.stroke()
      ctx.beginPath()
      // An outlet's mouth points away from its middle, an inlet's towards it.
      for (const a of [0, 2.094, 4.189]) {
        const from = out ? 2 : 11
        const to = out ? 11 : 2
        ctx.moveTo(p[0] + from * Math.cos(a), p[1] + from * Math.sin(a))
        ctx.lineTo(p[0] + to * Math.cos(a), p[1] + to * Math.sin(a))
        ctx.lineTo(p[0] + (to + (out ? -3 : 3)) * Math.cos(a + 0.25), p[1] + (to + (out ? -3 : 3)) * Math.sin(a + 0.25))
      }
      ctx.stroke()
    }
}

function mark(s: Sheet, i: Mark, look: Look): void {
  const { ctx, view, inks: k } = s
  const p = toScreen(view, i.at)
  ctx.strokeStyle = k.ink
  ctx.fillStyle = k.paper
  ctx.lineWidth = 1.3
  const to = toScreen(view, i.toward)
  const a = Math.atan2(to[1] - p[1], to[0] - p[0])
  // An eye looks along its two lines of sight; a photo mark is a framed cross.
  if (i.list === 'views') {
    ctx.beginPath()
    ctx.moveTo(p[0] + 26 * Math.cos(a - 0.4), p[1] + 26 * Math.sin(a - 0.4))
    ctx.lineTo(p[0], p[1])
    ctx.lineTo(p[0] + 26 * Math.cos(a + 0.4), p[1] + 26 * Math.sin(a + 0.4))
    ctx.stroke()
    ctx.beginPath()
    ctx.ellipse(p[0], p[1], 8, 5, a + Math.PI / 2, 0, 6.284)
    ctx.fill()
    ctx.stroke()
    dotAt(ctx, p, 2, k.ink)
  } else {
    ctx.beginPath()
    ctx.rect(p[0] - 7, p[1] - 5, 14, 10)
    ctx.fill()
    ctx.stroke()
    ctx.beginPath()
    ctx.moveTo(p[0] - 3, p[1])
    ctx.lineTo(p[0] + 3, p[1])
    ctx.moveTo(p[0], p[1] - 3)
    ctx.lineTo(p[0], p[1] + 3)
    ctx.stroke()
  }
  if (look.chosen && i.name) {
    ctx.font = 'italic 400 12px "Source Serif 4", serif'
    ctx.textAlign = 'left'
    ctx.fillStyle = k.ink
    ctx.fillText(i.name, p[0] + 11, p[1] + 4)
  }
}
function dotAt(ctx: Ctx, p: Pt, r: number, fill: string): void {
  ctx.beginPath()
  ctx.arc(p[0], p[1], r, 0, 6.284)
  ctx.fillStyle = fill
  ctx.fill()
}
function dot(s: Sheet, p: Pt, r: number, fill: string, stroke: string): void {
  const q = toScreen(s.view, p)
  dotAt(s.ctx, q, r, fill)
  s.ctx.strokeStyle = stroke
  s.ctx.stroke()
}

/** The order of drawing: masses lowest, then stones and wood, plants, and what hangs above. */
export function order(i: Item): number {
  return i.list === 'plants' ? (i.symbol === 'hatch' ? 0 : i.symbol === 'pads' ? 4 : 2) : i.list === 'hardscape' ? 1 : i.list === 'lamps' ? 5 : 6
}

export interface Label {
  key: string // of its planting
  text: string
  at: Pt // pixels
}
const labelSize = (v: View): number => Math.max(10, Math.min(14, v.scale * 5))

/** Numbers of species (with a letter where there are several places), each where room is. */
export function labels(s: Sheet, items: readonly Item[]): Label[] {
  const { view } = s
  const size = labelSize(view)
  const taken = new Set<number>()
  const out: Label[] = []
  for (const i of items) {
    if (i.list !== 'plants' || i.places.length === 0) continue
    let x = 0
    let y = 0
    for (const p of i.places) {
      x += p[0] / i.places.length
      y += p[1] / i.places.length
    }
    const p = toScreen(view, [x, y])
    if (p[0] < 0 || p[1] < 0 || p[0] > s.width || p[1] > s.height) continue
    for (const [dx, dy] of AROUND) {
      const slot = Math.round((p[0] + dx) / 24) * 4096 + Math.round((p[1] + dy) / (size + 2))
      if (taken.has(slot)) continue
      taken.add(slot)
      out.push({ key: `plants/${i.id}`, text: `${i.number}${i.letter}`, at: [p[0] + dx, p[1] + dy] })
      break
    }
  }
  return out
}
const AROUND = [[0, -11], [0, 12], [15, 0], [-15, 0], [13, -13], [-13, 13], [0, -24], [0, 25]] as const

/** Labels in italic, as on a plate. */
export function write(s: Sheet, list: readonly Label[]): void {
  const { ctx, view, inks: k } = s
  ctx.font = `italic 400 ${labelSize(view)}px "Source Serif 4", serif`
  ctx.textAlign = 'center'
  ctx.textBaseline = 'middle'
  ctx.lineWidth = 2.5
  ctx.lineJoin = 'round'
  ctx.strokeStyle = faded(k.paper, 0.85)
  ctx.fillStyle = k.ink
  for (const l of list) {
    ctx.strokeText(l.text, l.at[0], l.at[1])
    ctx.fillText(l.text, l.at[0], l.at[1])
  }
}

/** What is chosen stands in a dotted ring or rim, as a place marked in a book. */
export function chosen(s: Sheet, i: Item, grip = false): void {
  const { ctx, view, inks: k } = s
  ctx.strokeStyle = k.warn
  ctx.lineWidth = 1.6
  ctx.setLineDash([3, 3])
  if (i.list === 'hardscape' && i.outline.length > 2) {
    trace(s, i.outline, true)
    ctx.stroke()
  } else if (i.list === 'plants' && i.way === 'in' && i.points.length > 2) {
    trace(s, rounded(i.points), true)
    ctx.stroke()
  } else if (i.list === 'plants') {
    const r = Math.max(8, Math.min(60, (i.grownSpreadCM / 2) * view.scale + 4))
    for (const q of i.places) {
      const p = toScreen(view, flat(q))
      ctx.beginPath()
      ctx.arc(p[0], p[1], r, 0, 6.284)
      ctx.stroke()
    }
    if (i.way === 'along') {
      trace(s, i.points, false)
      ctx.stroke()
    }
  } else {
    const b = boxOf(i)
    const a = toScreen(view, [b[0], b[3]])
    const c = toScreen(view, [b[2], b[1]])
    ctx.strokeRect(a[0] - 4, a[1] - 4, c[0] - a[0] + 8, c[1] - a[1] + 8)
  }
  ctx.setLineDash([])
  if (i.locked) lock(s, i)
  if (grip && i.list === 'plants' && (i.way === 'in' || i.way === 'along' || i.way === 'at')) for (const p of i.points) corner(s, p)
  if (grip && i.list === 'filter') for (const p of [...i.outlets, ...i.inlets]) corner(s, p)
}
function lock(s: Sheet, i: Item): void {
  const p = toScreen(s.view, anchor(i))
  const { ctx, inks: k } = s
  ctx.strokeStyle = k.warnt
  ctx.fillStyle = k.paper
  ctx.lineWidth = 1.4
  ctx.beginPath()
  ctx.arc(p[0], p[1] - 2, 4, Math.PI, 0)
  ctx.stroke()
  ctx.beginPath()
  ctx.rect(p[0] - 6, p[1] - 2, 12, 8)
  ctx.fill()
  ctx.stroke()
}
export function corner(s: Sheet, p: Pt): void {
  const q = toScreen(s.view, p)
  const { ctx, inks: k } = s
  ctx.beginPath()
  ctx.rect(q[0] - 4, q[1] - 4, 8, 8)
  ctx.fillStyle = k.paper
  ctx.fill()
  ctx.strokeStyle = k.warn
  ctx.lineWidth = 1.4
  ctx.stroke()
}

/** Grips of a piece: one to turn on an arm, one to size at a corner; places in cm. */
export function grips(i: Item, scale: number): { turn: Pt; size: Pt } | null {
  if (i.list !== 'hardscape' && i.list !== 'lamps' && !(i.list === 'plants' && i.way === 'in')) return null
  const b = boxOf(i)
  const arm = 22 / scale
  return { turn: [(b[0] + b[2]) / 2, b[3] + arm], size: [b[2] + 6 / scale, b[1] - 6 / scale] }
}
export function drawGrips(s: Sheet, i: Item): void {
  const g = grips(i, s.view.scale)
  if (!g) return
  const { ctx, view, inks: k } = s
  const b = boxOf(i)
  const t = toScreen(view, g.turn)
  const foot = toScreen(view, [(b[0] + b[2]) / 2, b[3]])
  ctx.strokeStyle = k.warn
  ctx.lineWidth = 1.2
  ctx.beginPath()
  ctx.moveTo(foot[0], foot[1])
  ctx.lineTo(t[0], t[1])
  ctx.stroke()
  ctx.fillStyle = k.paper
  ctx.beginPath()
  ctx.arc(t[0], t[1], 7, 0, 6.284)
  ctx.fill()
  ctx.stroke()
  ctx.beginPath()
  ctx.arc(t[0], t[1], 3.6, 0.6, 5.4)
  ctx.stroke()
  const z = toScreen(view, g.size)
  ctx.beginPath()
  ctx.rect(z[0] - 6, z[1] - 6, 12, 12)
  ctx.fill()
  ctx.stroke()
  ctx.beginPath()
  ctx.moveTo(z[0] - 3, z[1] - 3)
  ctx.lineTo(z[0] + 3, z[1] + 3)
  ctx.stroke()
}

export interface GhostPlant {
  id: string
  at: Pt
  spreadCM: number
  heightCM: number
  colour: string
}
/** The grown plants of a day of the last forecast as a wash of rims over today's plan. */
export function ghost(s: Sheet, plants: readonly GhostPlant[]): void {
  const { ctx, view, inks: k } = s
  ctx.lineWidth = 1
  for (const red of [false, true]) {
    const hue = red ? k.red : k.moss
    ctx.beginPath()
    for (const g of plants) {
      if (reddish(g.colour) !== red) continue
      const p = toScreen(view, g.at)
      const r = Math.max(1.5, (g.spreadCM / 2) * view.scale)
      ctx.moveTo(p[0] + r, p[1])
      ctx.arc(p[0], p[1], r, 0, 6.284)
    }
    ctx.fillStyle = faded(hue, 0.1)
    ctx.fill()
    ctx.strokeStyle = faded(hue, 0.7)
    ctx.setLineDash([2, 3])
    ctx.stroke()
    ctx.setLineDash([])
  }
}

export function rulers(s: Sheet, inches: boolean, at: Pt | null): void {
  const { ctx, view, inks: k, width, height } = s
  const T = 22
  ctx.fillStyle = k.paper
  ctx.fillRect(0, height - T, width, T)
  ctx.fillRect(0, 0, T + 8, height)
  ctx.lineWidth = 0.8
  ctx.fillStyle = k.soft
  ctx.font = '400 11px "Source Sans 3", sans-serif'
  ctx.textAlign = 'center'
  ctx.textBaseline = 'top'
  ctx.strokeStyle = k.soft
  ctx.beginPath()
  const left = (T + 8 - view.x) / view.scale
  for (const t of ticks(left, (width - view.x) / view.scale, view.scale, inches)) {
    const x = view.x + t.at * view.scale
    ctx.moveTo(x, height - T)
    ctx.lineTo(x, height - T + (t.long ? 7 : 3.5))
    if (t.label && x > T + 16 && x < width - 12) ctx.fillText(t.label, x, height - T + 8)
  }
  ctx.textAlign = 'right'
  ctx.textBaseline = 'middle'
  for (const t of ticks((view.y - (height - T)) / view.scale, view.y / view.scale, view.scale, inches)) {
    const y = view.y - t.at * view.scale
    ctx.moveTo(T + 8, y)
    ctx.lineTo(T + 8 - (t.long ? 6 : 3), y)
    if (t.label && y > 8 && y < height - T - 6) ctx.fillText(t.label, T + 1, y)
  }
  ctx.stroke()
  ctx.strokeStyle = k.rule
  ctx.beginPath()
  ctx.moveTo(T + 8.5, 0)
  ctx.lineTo(T + 8.5, height - T + 0.5)
  ctx.lineTo(width, height - T + 0.5)
  ctx.stroke()
  ctx.fillStyle = k.paper
  ctx.fillRect(0, height - T, T + 8, T)
  ctx.fillStyle = k.soft
  ctx.textAlign = 'center'
  ctx.fillText(inches ? 'in' : 'cm', (T + 8) / 2, height - T / 2)
  if (at) {
    const p = toScreen(view, at)
    ctx.strokeStyle = k.warn
    ctx.lineWidth = 1.2
    ctx.beginPath()
    ctx.moveTo(p[0], height - T)
    ctx.lineTo(p[0], height - T + 10)
    ctx.moveTo(T + 8, p[1])
    ctx.lineTo(T - 2, p[1])
    ctx.stroke()
  }
}

/** Lines with their measure: of the measuring tape, a hold or a rectangle. */
export function tape(s: Sheet, line: readonly Pt[], text: string): void {
  const { ctx, view, inks: k } = s
  trace(s, line, false)
  ctx.strokeStyle = k.warn
  ctx.lineWidth = 1.5
  ctx.stroke()
  for (const p of line) dotAt(ctx, toScreen(view, p), 3, k.warn)
  if (!text || line.length === 0) return
  const a = toScreen(view, line[line.length - 1]!)
  ctx.font = '600 13px "Source Sans 3", sans-serif'
  const w = ctx.measureText(text).width
  const x = Math.min(s.width - w - 8, a[0] + 10)
  const y = Math.max(12, a[1] - 14)
  ctx.fillStyle = k.paper
  ctx.fillRect(x - 4, y - 10, w + 8, 19)
  ctx.strokeStyle = k.warn
  ctx.lineWidth = 0.8
  ctx.strokeRect(x - 4, y - 10, w + 8, 19)
  ctx.fillStyle = k.ink
  ctx.textAlign = 'left'
  ctx.textBaseline = 'middle'
  ctx.fillText(text, x, y)
}
export function holdLine(s: Sheet, x: number | null, y: number | null): void {
  const { ctx, view, inks: k } = s
  ctx.strokeStyle = k.waterl
  ctx.lineWidth = 1
  ctx.setLineDash([6, 4])
  ctx.beginPath()
  if (x !== null) {
    const p = view.x + x * view.scale
    ctx.moveTo(p, 0)
    ctx.lineTo(p, s.height)
  }
  if (y !== null) {
    const p = view.y - y * view.scale
    ctx.moveTo(0, p)
    ctx.lineTo(s.width, p)
  }
  ctx.stroke()
  ctx.setLineDash([])
}
export function outlineBeing(s: Sheet, points: readonly Pt[], tip: Pt | null, closed: boolean): void {
  const { ctx, inks: k } = s
  const all = tip ? [...points, tip] : [...points]
  if (all.length === 0) return
  trace(s, all, closed && all.length > 2)
  if (closed && all.length > 2) {
    ctx.fillStyle = faded(k.moss, 0.15)
    ctx.fill()
  }
  ctx.strokeStyle = k.warn
  ctx.lineWidth = 1.4
  ctx.setLineDash([5, 3])
  ctx.stroke()
  ctx.setLineDash([])
  for (const p of points) corner(s, p)
}
export function brushRing(s: Sheet, p: Pt, radius: number, text: string, warn: boolean): void {
  const { ctx, view, inks: k } = s
  const q = toScreen(view, p)
  ctx.strokeStyle = warn ? k.warn : k.ink
  ctx.lineWidth = warn ? 2 : 1.2
  ctx.setLineDash(warn ? [] : [4, 3])
  ctx.beginPath()
  ctx.arc(q[0], q[1], radius * view.scale, 0, 6.284)
  ctx.stroke()
  ctx.setLineDash([])
  if (!text) return
  ctx.font = '600 13px "Source Sans 3", sans-serif'
  const w = ctx.measureText(text).width
  ctx.fillStyle = k.paper
  ctx.fillRect(q[0] - w / 2 - 4, q[1] - radius * view.scale - 24, w + 8, 19)
  ctx.fillStyle = warn ? k.warnt : k.ink
  ctx.textAlign = 'center'
  ctx.textBaseline = 'middle'
  ctx.fillText(text, q[0], q[1] - radius * view.scale - 14)
}
export function cross(s: Sheet, p: Pt): void {
  const q = toScreen(s.view, p)
  const { ctx, inks: k } = s
  ctx.strokeStyle = k.warn
  ctx.lineWidth = 1.5
  ctx.beginPath()
  ctx.moveTo(q[0] - 11, q[1])
  ctx.lineTo(q[0] - 3, q[1])
  ctx.moveTo(q[0] + 3, q[1])
  ctx.lineTo(q[0] + 11, q[1])
  ctx.moveTo(q[0], q[1] - 11)
  ctx.lineTo(q[0], q[1] - 3)
  ctx.moveTo(q[0], q[1] + 3)
  ctx.lineTo(q[0], q[1] + 11)
  ctx.stroke()
}
export function ring(s: Sheet, p: Pt, text: string, grave: boolean): void {
  const q = toScreen(s.view, p)
  const { ctx, inks: k } = s
  ctx.beginPath()
  ctx.arc(q[0], q[1], 9.5, 0, 6.284)
  ctx.fillStyle = k.paper
  ctx.fill()
  ctx.strokeStyle = grave ? k.warnt : k.ink
  ctx.lineWidth = 1.5
  ctx.stroke()
  ctx.font = '600 12px "Source Sans 3", sans-serif'
  ctx.textAlign = 'center'
  ctx.textBaseline = 'middle'
  ctx.fillStyle = grave ? k.warnt : k.ink
  ctx.fillText(text, q[0], q[1] + 0.5)
}
