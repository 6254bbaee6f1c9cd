// Plants of the catalogue and the studio's palettes.
import { client, ok } from './api'
import type { components } from './schema'

type S = components['schemas']
export type Species = S['SpeciesCard']
export type SpeciesList = S['SpeciesList']
export type Alike = S['Alike']
export type Palette = S['Palette']

/** What is searched for; what is left empty asks for nothing. */
export interface Search {
  q: string
  form: string
  place: string
  light: string
  co2: string
  speed: string
  colour: string
  origin: string
  max_cm: number
  fitting: boolean
}
export const nothing: Search = { q: '', form: '', place: '', light: '', co2: '', speed: '', colour: '', origin: '', max_cm: 0, fitting: false }

/** The query of a search: empty members are left out, since the server takes an empty word for a wish. */
export function queryOf(s: Search, tank: string, at: readonly [number, number] | undefined, most: number): Record<string, string | number | boolean> {
  const q: Record<string, string | number | boolean> = { most }
  for (const [k, v] of Object.entries(s)) if (v !== '' && v !== 0 && v !== false) q[k] = typeof v === 'string' ? v.trim() : (v as number | boolean)
  if (tank) q.tank = tank
  if (tank && at && at[0] >= 0 && at[1] >= 0) {
    q.at_x = at[0]
    q.at_y = at[1]
  }
  return q
}

export async function find(s: Search, tank: string, at: readonly [number, number] | undefined, most = 60): Promise<SpeciesList> {
  return ok(client.GET('/api/species', { params: { query: queryOf(s, tank, at, most) } }))
}
export async function like(name: string, tank: string, at: readonly [number, number] | undefined): Promise<Alike[]> {
  return (await ok(client.GET('/api/species/{name}/like', { params: { path: { name }, query: queryOf(nothing, tank, at, 6) } }))).species
}
export async function palettes(): Promise<Palette[]> {
  return (await ok(client.GET('/api/palettes'))).palettes
}
export async function keep(p: { id: string; name: string; species: string[] }): Promise<Palette> {
  return ok(client.PUT('/api/palettes/{palette}', { params: { path: { palette: p.id } }, body: { name: p.name, species: p.species, own: true } }))
}
export async function drop(id: string): Promise<void> {
  await ok(client.DELETE('/api/palettes/{palette}', { params: { path: { palette: id } } }))
}

/** The height of picture, in cm, that all plants of a list are drawn in: to one scale, and the tallest still fits. */
export function windowFor(list: readonly Pick<Species, 'height_cm'>[]): number {
  const most = Math.max(0, ...list.map((s) => s.height_cm[1] ?? 0))
  return [20, 40, 60, 80].find((w) => most <= w) ?? 100
}

/** Where the drawing of a plant is; without a window it is as high as the plant. */
export function plate(s: Pick<Species, 'plate'>, tank: string, windowCM = 0): string {
  const q = new URLSearchParams()
  if (tank) q.set('tank', tank)
  if (windowCM > 0) q.set('window_cm', String(windowCM))
  const tail = q.toString()
  return s.plate + (tail ? `?${tail}` : '')
}
