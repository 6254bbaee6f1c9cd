// The drawing board's part of the server's API, read into the page's own model.
import type { Board, Bought, Edit, Hard, Item, Limb, Note, Plant, Pt, Pt3 } from '../lib/board/model'
import { area } from '../lib/board/geometry'
import type { GhostPlant } from '../lib/board/draw'
import { ask, sentence } from './api'
import type { components } from './schema'

type S = components['schemas']
export type Wire = S['Board']

const base = (tank: string): string => `/api/tanks/${encodeURIComponent(tank)}/board`
const json = (body: unknown, revision = ''): RequestInit => ({ method: 'POST', body: JSON.stringify(body), headers: { 'content-type': 'application/json', ...(revision ? { 'if-match': `"${revision}"` } : {}) } })

export async function board(tank: string): Promise<Board> {
  return read(await ask<Wire>(base(tank)))
}
export async function edit(tank: string, revision: string, label: string, edits: readonly Edit[]): Promise<Board> {
  return read(await ask<Wire>(`${base(tank)}/edits`, json({ label: label.slice(0, 120), edits }, revision)))
}
export async function write(tank: string, revision: string, text: string): Promise<Board> {
  return read(await ask<Wire>(`${base(tank)}/text`, { ...json({ text }, revision), method: 'PUT' }))
}
export async function undo(tank: string, revision: string): Promise<Board> {
  return read(await ask<Wire>(`${base(tank)}/undo`, json(undefined, revision)))
}
export async function redo(tank: string, revision: string): Promise<Board> {
  return read(await ask<Wire>(`${base(tank)}/redo`, json(undefined, revision)))
}
export async function look(tank: string, edits: readonly Edit[], ids: readonly string[]): Promise<Note[]> {
  return (await ask<S['BoardNotes']>(`${base(tank)}/look`, json({ edits, ids }))).notes.map(noteOf)
}
export interface Ghost {
  day: number
  days: number[]
  current: boolean
  plants: (GhostPlant & { z: number; form: string })[]
}
export async function ghost(tank: string, day: number): Promise<Ghost> {
  const g = await ask<S['BoardGhost']>(`${base(tank)}/ghost?day=${day}`)
  return {
    day: g.day,
    days: g.days,
    current: g.current,
    plants: g.plants.map((p) => ({ id: p.planting, at: [p.at_cm[0]!, p.at_cm[1]!], z: p.at_cm[2]!, heightCM: p.height_cm, spreadCM: p.spread_cm, colour: p.colour, form: p.form })),
  }
}
export interface Body {
  id: string
  vertices: number[] // cm
  faces: number[]
}
export async function bodies(tank: string): Promise<{ revision: string; bodies: Body[] }> {
  const b = await ask<S['BoardBodies']>(`${base(tank)}/bodies`)
  return { revision: b.version, bodies: b.bodies.map((x) => ({ id: x.id, vertices: x.vertices_cm, faces: x.faces })) }
}
export interface MeshRead {
  name: string
  sides: Pt3
  notes: string[]
}
export async function addMesh(tank: string, revision: string, name: string, file: Blob): Promise<MeshRead> {
  const data = await new Promise<string>((done, fail) => {
    const r = new FileReader()
    r.onload = () => done(String(r.result).replace(/^data:[^,]*,/, ''))
    r.onerror = () => fail(r.error ?? new Error(name))
    r.readAsDataURL(file)
  })
  const m = await ask<S['BoardMeshRead']>(`${base(tank)}/meshes`, json({ name, data }, revision))
  return { name: m.name, sides: pt3(m.sides), notes: m.notes.map(sentence) }
}
export async function copyFrom(tank: string, revision: string, from: string, ids: readonly string[], by: Pt, label: string): Promise<Board> {
  return read(await ask<Wire>(`${base(tank)}/copy`, json({ from, ids, by_cm: by, label }, revision)))
}
/** The tank on paper, to scale: the way of the section goes along when one is drawn. */
export const drawing = (tank: string, as: 'svg' | 'pdf', cut: [Pt, Pt] | null): string => `${base(tank)}/drawing.${as}${along(cut, '?views=plan,front,left,section&')}`
export const plantingMap = (tank: string): string => `${base(tank)}/planting-map.pdf`
export const section = (tank: string, cut: [Pt, Pt] | null): string => `${base(tank)}/section.svg${along(cut, '?')}`
/** The plan in force drawn over an earlier revision. */
export const comparison = (tank: string, from: number): string => `${base(tank)}/compare.svg?from=${from}`
const along = (cut: [Pt, Pt] | null, head: string): string => (cut ? `${head}x1=${cut[0][0]}&y1=${cut[0][1]}&x2=${cut[1][0]}&y2=${cut[1][1]}` : '')

const pt = (p: readonly number[]): Pt => [p[0] ?? 0, p[1] ?? 0]
const pt3 = (p: readonly number[]): Pt3 => [p[0] ?? 0, p[1] ?? 0, p[2] ?? 0]
const noteOf = (n: S['BoardNote']): Note => ({ id: n.id, ids: n.ids, kind: n.kind, severity: n.severity, text: sentence(n.text), cure: sentence(n.cure), at: pt3(n.at_cm) })
const mid = (r: readonly number[]): number => ((r[0] ?? 0) + (r[1] ?? r[0] ?? 0)) / 2

export function read(w: Wire): Board {
  const items: Item[] = []
  for (const h of w.hardscape) {
    const outlines = h.outline_cm.map((o) => o.map(pt)).sort((a, b) => Math.abs(area(b)) - Math.abs(area(a)))
    const hard: Hard = {
      list: 'hardscape', id: h.id, kind: h.kind, material: h.material, at: pt(h.at_cm), turn: h.turn_deg, tilt: h.tilt_deg, lean: h.lean_deg, sinkCM: h.sink_cm, mirrored: h.mirrored,
      shape: { kind: h.shape.form, lengthCM: h.shape.form === 'mesh' ? h.shape.size_cm : h.shape.length_cm, widthCM: h.shape.width_cm, heightCM: h.shape.height_cm, thickCM: h.shape.thick_cm, limbs: h.shape.limbs, roughness: h.shape.roughness, file: h.shape.mesh },
      outline: outlines[0] ?? [], baseCM: h.base_cm, topCM: h.top_cm, massKG: h.mass_kg,
      limbs: h.limbs.map((l): Limb => [l.from_cm[0]!, l.from_cm[1]!, l.from_cm[2]!, l.to_cm[0]!, l.to_cm[1]!, l.to_cm[2]!, l.from_thick_cm / 2, l.to_thick_cm / 2]),
      group: h.group, locked: h.locked, line: h.line,
    }
    items.push(hard)
  }
  const letters = new Map<string, number>()
  const several = new Map<string, number>()
  for (const p of w.plants) several.set(p.species, (several.get(p.species) ?? 0) + 1)
  for (const p of w.plants) {
    const n = letters.get(p.species) ?? 0
    letters.set(p.species, n + 1)
    const plant: Plant = {
      list: 'plants', id: p.id, species: p.species, pots: p.pots, way: p.way, points: p.points_cm.map(pt), on: p.on, places: p.places_cm.map(pt3), event: p.event, heightCM: p.height_cm,
      grownHeightCM: mid(p.grown_height_cm), grownSpreadCM: mid(p.grown_spread_cm), form: p.form, colour: p.colour, symbol: p.symbol, number: p.number,
      letter: (several.get(p.species) ?? 0) > 1 ? letter(n) : '', group: p.group, locked: p.locked, line: p.line,
    }
    items.push(plant)
  }
  for (const l of w.lamps) items.push({ list: 'lamps', id: l.id, kind: l.kind, at: pt(l.at_cm), sizeCM: pt(l.size_cm), aboveCM: l.above_water_cm, turn: l.turn_deg, flux: l.ppf_umol_s, group: '', locked: false, line: l.line })
  for (const f of w.filters) items.push({ list: 'filter', id: f.id, flowLH: f.flow_l_h, outlets: f.outlets_cm.map(pt), inlets: f.inlets_cm.map(pt), group: '', locked: false, line: f.line })
  for (const [list, marks] of [['views', w.views], ['marks', w.marks]] as const)
    for (const m of marks) items.push({ list, id: m.id, name: m.name, at: pt(m.at_cm), heightCM: m.height_cm, toward: pt(m.toward_cm), aimCM: m.aim_cm, group: '', locked: false, line: m.line })
  const g = w.ground
  return {
    revision: w.version,
    text: w.text,
    problems: w.problems.map((p) => ({ line: p.line, column: p.column, message: sentence(p.message), cure: sentence(p.cure), warning: p.severity === 'warning' })),
    undo: w.undo,
    redo: w.redo,
    tank: {
      shape: w.tank.shape, outline: w.tank.outline_cm.map(pt), lengthCM: w.tank.length_cm, widthCM: w.tank.width_cm, heightCM: w.tank.height_cm, waterCM: w.tank.water_cm, bowCM: w.tank.bow_cm, seenFrom: w.tank.seen_from, litres: w.tank.water_litres, line: w.tank.line,
    },
    items,
    ground: {
      nx: g.nx, ny: g.ny, dx: g.cell_x_cm, dy: g.cell_y_cm, top: Float32Array.from(g.top_cm), slope: Float32Array.from(g.slope_deg), repose: g.repose_deg,
      contours: g.contours.map((c) => ({ levelCM: c.level_cm, lines: c.lines.map((l) => l.map(pt)) })),
      layers: g.layers.map((l, i) => ({ index: i, material: l.material, points: l.points_cm.map(pt3), depthCM: l.depth_cm, litres: l.litres, kg: l.mass_kg })),
      caps: g.caps.map((c, i) => ({ index: i, material: c.material, outline: c.over_cm.map(pt), depthCM: c.depth_cm, replace: c.replace, barrier: c.barrier, litres: c.litres, kg: c.mass_kg })),
      bought: g.materials.map((m): Bought => ({ material: m.material, litres: m.litres, kg: m.mass_kg, bagL: m.bag_litres, bags: m.bags, price: m.price, currency: m.currency })),
      litres: g.litres,
      kg: g.mass_kg,
    },
    weight: { filledKG: w.weight.filled_kg, hardscapeKG: w.weight.hardscape_kg, loadKPa: w.weight.load_kpa, allowedKPa: w.weight.allowed_kpa, caution: w.weight.caution },
    notes: w.notes.map(noteOf),
  }
}

function letter(n: number): string {
  return (n >= 26 ? letter(Math.floor(n / 26) - 1) : '') + String.fromCharCode(97 + (n % 26))
}
