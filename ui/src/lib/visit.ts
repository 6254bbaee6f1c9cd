// A visit as it is written beside the tank, and the journal entries that it becomes. Each entry is known by an id made here, from the id of
// the visit and the place in it, so that writing the same visit again writes the same entries again.
import type { components } from '../api/schema'

type S = components['schemas']
export type Entry = S['Entry']
export type WorkDue = S['WorkDue']
export type CareLine = S['CareLine']
export type What = S['Reading']['what']
export type Do = S['Task']['do']

export interface DoneTask {
  care: string
  do: string
  text: string
  state: 'due' | 'done' | 'left-out'
  litres: number | null
  grams: Record<string, number>
  tablets: number | null
  wetG: number | null
  elsewhere: string // entry of another visit that says so already; empty else
  day: number | null // day of the plan for which it was due; null = the visit's own
}
export interface Reading {
  what: What
  value: number | null
  unit: string
  before: boolean
}
export interface PlantChange {
  what: 'lost' | 'set' | 'animals-lost' | 'animals-came'
  name: string
  species: string
  count: number
}
export interface VisitBody {
  tasks: DoneTask[]
  readings: Reading[]
  photos: { id: string; mark: string }[]
  changes: PlantChange[]
  wetG: number | null
  minutes: number | null
  notes: string
}

/** Units in which a kind of reading is taken; the first is the usual one. */
export const units: Record<What, string[]> = {
  nitrate: ['mg/L', 'mg/L as N'],
  phosphate: ['mg/L', 'mg/L as P'],
  ph: [''],
  kh: ['dKH', 'mg/L CaCO3'],
  gh: ['dGH', 'mg/L CaCO3'],
  co2: ['mg/L'],
  temperature: ['°C', '°F'],
  oxygen: ['mg/L'],
  ammonium: ['mg/L', 'mg/L as N'],
  nitrite: ['mg/L', 'mg/L as N'],
  potassium: ['mg/L'],
  iron: ['mg/L'],
  calcium: ['mg/L'],
  magnesium: ['mg/L'],
}

const DOES = ['water-change', 'dose', 'trim', 'thin', 'outer-leaves', 'replant-tops', 'pull-runners', 'root-feed', 'filter-clean', 'siphon', 'glass']

/** Tasks of the plan for a visit, with the amounts that the plan's lines state. */
export function dueTasks(work: readonly WorkDue[], lines: readonly CareLine[]): DoneTask[] {
  return work
    .filter((w) => DOES.includes(w.do))
    .map((w) => {
      const line = lines.find((l) => l.id === w.care)
      return {
        care: w.care,
        do: w.do,
        text: w.text,
        state: w.state,
        litres: w.do === 'water-change' ? (w.unit === 'L' ? w.amount : (line?.litres ?? null)) : null,
        grams: w.do === 'dose' && line ? { ...line.grams } : {},
        tablets: w.do === 'root-feed' ? (line?.tablets ?? null) : null,
        wetG: null,
        elsewhere: w.state === 'due' ? '' : w.entry,
        day: null,
      }
    })
}

export function emptyVisit(tasks: DoneTask[] = []): VisitBody {
  return { tasks, readings: [], photos: [], changes: [], wetG: null, minutes: null, notes: '' }
}

const some = (v: number | null): v is number => v !== null && Number.isFinite(v) && v >= 0

/** The journal entries of a visit. day is the day of the plan for which it was due; null without a date of planting. */
export function entriesOf(v: VisitBody, visit: string, at: string, day: number | null): Entry[] {
  const out: Entry[] = []
  const own = { at }
  v.tasks.forEach((k, i) => {
    if (k.state === 'due' || k.elsewhere !== '') return
    const grams = Object.fromEntries(Object.entries(k.grams).filter(([, g]) => some(g)))
    out.push({
      id: `${visit}-t${i}`,
      ...own,
      kind: 'task',
      text: k.text,
      task: {
        care: k.care,
        ...((k.day ?? day) === null ? {} : { day: k.day ?? day! }),
        do: k.do as Do,
        done: k.state === 'done',
        ...(k.state === 'done' && some(k.litres) ? { litres: k.litres } : {}),
        ...(k.state === 'done' && Object.keys(grams).length ? { grams } : {}),
        ...(k.state === 'done' && some(k.tablets) ? { tablets: Math.round(k.tablets) } : {}),
        ...(k.state === 'done' && some(k.wetG) ? { wet_g: k.wetG } : {}),
      },
    })
  })
  const changed = v.tasks.some((k) => k.do === 'water-change' && k.state === 'done')
  for (const before of [true, false]) {
    const readings = v.readings.filter((r) => r.before === before && r.value !== null && Number.isFinite(r.value)).map((r) => ({ what: r.what, value: r.value as number, unit: r.unit }))
    if (readings.length) out.push({ id: `${visit}-${before ? 'b' : 'a'}`, ...own, kind: 'test', test: { ...(changed || !before ? { change: before ? ('before' as const) : ('after' as const) } : {}), readings } })
  }
  v.changes.forEach((c, i) => {
    const name = c.name.trim()
    const species = c.species.trim()
    const count = Math.max(1, Math.round(c.count))
    const id = `${visit}-c${i}`
    switch (c.what) {
      case 'lost':
        if (name) out.push({ id, ...own, kind: 'loss', loss: { planting: name, count } })
        break
      case 'animals-lost':
        if (name) out.push({ id, ...own, kind: 'loss', loss: { stock: name, count } })
        break
      case 'set':
        if (name) out.push({ id, ...own, kind: 'added', added: { like: name, ...(species ? { species } : {}), count } })
        break
      case 'animals-came':
        if (species) out.push({ id, ...own, kind: 'added', added: { animals: true, species, count } })
    }
  })
  for (const p of v.photos) out.push({ id: `${visit}-p${p.id.slice(0, 12)}`, ...own, kind: 'photo', photo: { id: p.id, mark: p.mark } })
  if (v.notes.trim() || some(v.minutes) || some(v.wetG)) {
    out.push({ id: visit, ...own, kind: 'visit', text: v.notes.trim(), visit: { ...(day === null ? {} : { day }), ...(some(v.minutes) ? { minutes: v.minutes } : {}), ...(some(v.wetG) ? { wet_g: v.wetG } : {}) } })
  }
  return out
}

/** Lays entries of a visit over an empty one: how a visit is opened again. */
export function withEntries(start: VisitBody, visit: string, entries: readonly Entry[], day: number | null = null): VisitBody {
  const v: VisitBody = structuredClone(start)
  for (const e of [...entries].sort((a, b) => a.id.localeCompare(b.id, 'en', { numeric: true }))) {
    if (e.struck) continue
    const tail = e.id.slice(visit.length)
    if (e.kind === 'visit' && tail === '') {
      v.notes = e.text ?? ''
      v.minutes = e.visit?.minutes ?? null
      v.wetG = e.visit?.wet_g ?? null
    } else if (e.task) {
      const i = Number(tail.slice(2))
      const k: DoneTask = {
        care: e.task.care ?? '', do: e.task.do, text: e.text ?? '', state: e.task.done ? 'done' : 'left-out', litres: e.task.litres ?? null, grams: { ...(e.task.grams ?? {}) }, tablets: e.task.tablets ?? null, wetG: e.task.wet_g ?? null, elsewhere: '', day: e.task.day === undefined || e.task.day === day ? null : e.task.day,
      }
      const at = v.tasks[i]
      if (at && at.do === k.do && at.care === k.care) v.tasks[i] = { ...at, ...k, text: k.text || at.text }
      else {
        while (v.tasks.length < i) v.tasks.push({ ...k, care: '', do: '', state: 'due', text: '' })
        v.tasks[i] = k
      }
    } else if (e.test) {
      for (const r of e.test.readings) v.readings.push({ what: r.what, value: r.value, unit: r.unit, before: !tail.endsWith('a') })
    } else if (e.loss) v.changes.push({ what: e.loss.planting ? 'lost' : 'animals-lost', name: e.loss.planting || e.loss.stock || '', species: '', count: e.loss.count })
    else if (e.added) v.changes.push({ what: e.added.animals ? 'animals-came' : 'set', name: e.added.like ?? '', species: e.added.species ?? '', count: e.added.count })
    else if (e.photo) v.photos.push({ id: e.photo.id, mark: e.photo.mark ?? '' })
  }
  return v
}

/** The same text for the same entry, whatever the order of its members: to see whether it has to be sent. */
export function stable(v: unknown): string {
  if (Array.isArray(v)) return `[${v.map(stable).join(',')}]`
  if (v !== null && typeof v === 'object')
    return `{${Object.entries(v)
      .filter(([, x]) => x !== undefined && x !== '' && x !== 0)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([k, x]) => `${JSON.stringify(k)}:${stable(x)}`)
      .join(',')}}`
  return JSON.stringify(v)
}

/** Today's date and time beside the tank, as the journal writes it. */
export function localNow(d = new Date()): string {
  return new Date(d.getTime() - d.getTimezoneOffset() * 60_000).toISOString().slice(0, 16)
}
