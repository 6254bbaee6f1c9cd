// The server's API in the words of the pages. Types come from the server's own description (npm run api).
import createClient from 'openapi-fetch'
import type { Card, Finding, Outlook, Series, VisitDay } from '../lib/model'
import type { Answer, Waiting, WaitingPhoto } from '../lib/outbox'
import type { Level } from '../parts/Chart.svelte'
import { settings, told } from '../lib/settings.svelte'
import { taskWord } from '../lib/tell'
import { sayDate, t } from '../lib/words'
import type { components, paths } from './schema'

type S = components['schemas']
export type Demo = S['Demo']
export type Answers = S['Answers']
export type Revision = S['RevisionInfo']
export type Me = S['Me']
export type Entry = S['Entry']
export type EntryVersion = S['EntryVersion']
export type Calendar = S['Calendar']
export type WorkOnDay = S['WorkOnDay']
export type WorkDue = S['WorkDue']
export type VisitPage = S['VisitPage']
export type Measured = S['Measured']
export type Story = S['Story']
export type Light = S['Light']
export type Water = S['Water']
export type Swing = S['Swing']
export type SumQuestion = S['Question']
export type SumAnswer = S['SumAnswer']
export type SumSalt = S['SumSalt']
export type BatchAsk = S['BatchAsk']
export type BatchStart = S['BatchStart']
export type Batch = S['Batch']
export type Bottles = S['StockCard']
export type Person = S['Person']
export type ClientLink = S['ClientLink']
export type Reason = S['Number']

export interface Problem {
  line: number
  column: number
  message: string
  cure: string
  warning: boolean
}

/** An error that a page can show: what, and the cure. */
export class Refused extends Error {
  constructor(
    message: string,
    readonly status: number,
    readonly problems: Problem[] = [],
    readonly last = 0,
  ) {
    super(message)
  }
}
export class NeedsLogin extends Refused {}
export class Unreachable extends Error {}

export interface TankInfo {
  id: string
  name: string
  planted: string
  size: string
  revision: number
  state: 'none' | 'running' | 'ready' | 'stale'
  old: boolean // an earlier version of the program made the forecast
  forecast: string
  shownDay: number // the day that the server has a picture of already
  job: string | null
  variants: { name: string; revision: number }[]
}

export interface PlantRow {
  planting: string
  species: string
  heightCM: number
}

/** A forecast ready to be shown: what it says and where its drawings are. */
export interface Shown {
  outlook: Outlook
  series: Series
  levels: Record<string, Level[]>
  plan: (day: number) => string
  side: (day: number, side: string) => string
  picture: (day: number, view: string) => string
  scene: (day: number) => string
  files: (day: number) => { href: string; name: string; word: string }[]
  plants: (day: number) => Promise<PlantRow[]>
}

export const client = createClient<paths>({ baseUrl: '', fetch: (r: Request) => fetch(r).catch((e: Error) => Promise.reject(new Unreachable(t('unreachable', { e: e.message })))) })

// The server's sentences come in the person's language and units. What is read has the wish in its address, so that whatever keeps answers tells them
// apart; what is written has it in its head, because a request whose address is changed would have to send its body as a stream.
function wishes(): Record<string, string> {
  return { 'accept-language': settings.language, ...(settings.units ? { 'littoral-units': settings.units } : {}) }
}
client.use({
  onRequest({ request }) {
    if (request.method === 'GET') return new Request(told(request.url), request)
    for (const [name, value] of Object.entries(wishes())) request.headers.set(name, value)
    return request
  },
})

interface ProblemDocument {
  status?: number
  title?: string
  detail?: string
  cure?: string
  last?: number
  problems?: { line: number; column: number; message: string; cure: string; severity: string }[]
  errors?: { message?: string; location?: string }[] | null
}

/** Sentences of the server begin small and end open: on a page they stand as sentences. */
export function sentence(s: string): string {
  const x = s.trim()
  return x === '' ? '' : (/^[a-z][A-Z]/.test(x) ? x : x.charAt(0).toUpperCase() + x.slice(1)) + (/[.!?:]$/.test(x) ? '' : '.')
}

const problemOf = (x: { line: number; column: number; message: string; cure: string; severity: string }): Problem => ({ line: x.line, column: x.column, message: sentence(x.message), cure: sentence(x.cure), warning: x.severity === 'warning' })

function refused(status: number, p: ProblemDocument | undefined): Refused {
  const words = [p?.detail ?? p?.title ?? t('answerBad', { n: status }), ...(p?.errors ?? []).map((e) => `${e.location ? `${e.location}: ` : ''}${e.message ?? ''}`), p?.cure ?? '']
  const say = words.map(sentence).filter(Boolean).join(' ')
  const problems = (p?.problems ?? []).map(problemOf)
  return status === 401 ? new NeedsLogin(say, status) : new Refused(say, status, problems, p?.last ?? 0)
}

export async function ok<T>(p: Promise<{ data?: T; error?: unknown; response: Response }>): Promise<T> {
  const a = await p
  if (a.error !== undefined || !a.response.ok) throw refused(a.response.status, a.error as ProblemDocument)
  return a.data as T
}

/** Answers after which the same may be taken a moment later: the server is busy, overrun or broken. */
const later = (status: number) => status >= 500 || status === 408 || status === 429

/** A question outside of the typed client: for answers that a page reads into a model of its own. */
export async function ask<T>(url: string, init: RequestInit = {}): Promise<T> {
  const a = await fetch(url, init).catch((e: Error) => Promise.reject(new Unreachable(t('unreachable', { e: e.message }))))
  const body = (await a.json().catch(() => undefined)) as unknown
  if (!a.ok) throw refused(a.status, body as ProblemDocument)
  return body as T
}

const sizes = new Map<string, string>()

function cardOf(c: S['Card'], running: boolean): Card {
  return {
    id: c.id,
    name: c.name,
    size: sizes.get(c.id) ?? '',
    state: running ? 'running' : c.forecast === '' ? 'none' : c.fresh ? 'ready' : 'stale',
    old: c.old,
    today: c.today,
    picture: c.picture || null,
    due: c.due
      ? [{ when: c.due.in_days === 0 ? t('dueToday') : c.due.in_days === 1 ? t('dueTomorrow') : sayDate(new Date(`${c.due.date}T00:00:00Z`), 'short'), text: c.due.tasks.map(taskWord).join(', '), late: false }]
      : [],
    worries: c.worries.map((w) => ({ grave: w.severity === 'danger' || w.severity === 'harm', text: w.what })),
  }
}

let looking = false // a client, who may look and no more
const running = new Map<string, string>() // tank to job, as far as this page knows
const forecasts = new Map<string, string>() // tank to the key of its last forecast, as last told

function findingOf(f: S['FindingJSON']): Finding {
  return {
    number: f.number,
    id: f.id,
    grave: f.severity === 'danger' || f.severity === 'harm',
    severity: f.severity,
    day: f.day,
    until: f.until,
    when: f.when,
    where: f.where,
    at: f.x_cm === null || f.y_cm === null ? null : { x: f.x_cm / 100, y: f.y_cm / 100 },
    what: f.what,
    because: f.because,
    cure: f.do,
    tried: f.tried ?? '',
    caution: f.caution,
    curable: false,
  }
}

/** The tank through glass and water; in the size that the server draws ahead. */
export function pictureOf(key: string, day: number, view: string): string {
  const dark = typeof matchMedia !== 'undefined' && matchMedia('(prefers-color-scheme: dark)').matches
  return `/api/forecasts/${key}/picture?day=${day}&from=${view}&width=1280&height=800${dark ? '&dark=true' : ''}`
}

async function shownOf(key: string): Promise<Shown> {
  const params = { path: { key } }
  const [r, s, bands, tries] = await Promise.all([
    ok(client.GET('/api/forecasts/{key}', { params })),
    ok(client.GET('/api/forecasts/{key}/series', { params })),
    looking ? null : ok(client.GET('/api/forecasts/{key}/bands', { params })),
    looking ? null : ok(client.GET('/api/forecasts/{key}/tries', { params })),
  ])
  const outcome = r.outcome
  const byDay = new Map<number, VisitDay>()
  for (const v of outcome.visits ?? []) byDay.set(v.day, { day: v.day, minutes: v.minutes, tasks: [] })
  for (const e of r.events) {
    const v = byDay.get(e.day)
    if (v && e.minutes > 0) v.tasks.push({ kind: e.kind, id: e.id, text: e.text, amount: e.amount, unit: e.unit })
  }
  const from = s.days.findIndex((d) => d >= 0)
  const values: Record<string, number[]> = {}
  for (const c of s.columns) values[c.name] = c.values.slice(from)
  const outlook: Outlook = {
    key,
    name: outcome.name,
    planted: r.planted,
    days: outcome.days,
    size: [r.glass.length_cm, r.glass.width_cm, r.glass.height_cm],
    waterL: outcome.net_water_l,
    units: r.units as Outlook['units'],
    exact: r.days,
    findings: outcome.findings.map((f) => {
      const tried = tries?.tried.find((x) => x.finding === f.id)
      return { ...findingOf(f), curable: tries !== null && tried === undefined && f.can_try, tried: tried ? tried.says || t('triedNot') : (f.tried ?? '') }
    }),
    visits: [...byDay.values()],
    lines: [],
  }
  const base = `/api/forecasts/${key}`
  return {
    outlook,
    series: {
      days: s.days.slice(from),
      values,
      bands: bands && bands.members > 0 ? { members: bands.members, days: bands.days, values: Object.fromEntries((['leaf_dry_g', 'no3_mg_l', 'po4_mg_l'] as const).map((k) => [k === 'leaf_dry_g' ? 'shoot_dry_g' : k, bands[k].map((b) => ({ low: b.p10, mid: b.p50, high: b.p90 }))])) } : null,
    },
    levels: {},
    plan: (day) => told(`${base}/drawing?what=plan&day=${day}`),
    side: (day, side) => told(`${base}/drawing?what=${side}&day=${day}`),
    picture: (day, view) => pictureOf(key, day, view),
    scene: (day) => `${base}/scene.glb?day=${day}`,
    files: (day) => [
      { href: told(`${base}/paper?name=report.html`), name: 'report.html', word: t('fileReport') },
      { href: `${base}/paper?name=series.csv`, name: 'series.csv', word: t('fileSeries') },
      { href: `${base}/paper?name=plants.csv`, name: 'plants.csv', word: t('filePlants') },
      { href: `${base}/paper?name=forecast.json`, name: 'forecast.json', word: t('fileJSON') },
      { href: `${base}/scene.glb?day=${day}`, name: `day-${day}.glb`, word: t('fileGLB') },
    ],
    plants: async (day) => {
      const snap = await ok(client.GET('/api/forecasts/{key}/snapshot', { params: { path: { key }, query: { day } } }))
      const tall = new Map<string, PlantRow>()
      for (const p of snap.plants) {
        const have = tall.get(p.planting)
        if (!have || p.height_cm > have.heightCM) tall.set(p.planting, { planting: p.planting, species: p.species, heightCM: p.height_cm })
      }
      return [...tall.values()].sort((a, b) => b.heightCM - a.heightCM)
    },
  }
}

// Forecasts as they were last read, by key and by how they are told.
const kept = new Map<string, Promise<Shown>>()

function shownFor(key: string): Promise<Shown> {
  const at = told(key)
  let p = kept.get(at)
  if (!p) {
    p = shownOf(key)
    kept.set(at, p)
    p.catch(() => kept.delete(at))
    if (kept.size > 4) kept.delete(kept.keys().next().value!)
  }
  return p
}

export const api = {
  async shelf(): Promise<Card[]> {
    const s = await ok(client.GET('/api/tanks', { params: { query: {} } }))
    return s.tanks.map((c) => cardOf(c, running.has(c.id)))
  },
  async demos(): Promise<Demo[]> {
    return (await ok(client.GET('/api/demos'))).demos
  },
  async fromDemo(demo: string): Promise<string> {
    return (await ok(client.POST('/api/tanks', { body: { demo } }))).id
  },
  async fromYAML(plan: string, files: S['PlanFile'][]): Promise<string> {
    return (await ok(client.POST('/api/tanks', { body: { plan, files } }))).id
  },
  async fromAnswers(questions: Answers): Promise<string> {
    return (await ok(client.POST('/api/tanks', { body: { questions } }))).id
  },
  async blank(): Promise<string> {
    return (await ok(client.POST('/api/tanks', { body: { blank: true, name: t('newName') } }))).id
  },
  async removeTank(tank: string): Promise<void> {
    await ok(client.DELETE('/api/tanks/{tank}', { params: { path: { tank } } }))
  },
  async tank(id: string): Promise<TankInfo> {
    const path = { tank: id }
    const [c, h] = await Promise.all([ok(client.GET('/api/tanks/{tank}', { params: { path } })), looking ? null : ok(client.GET('/api/tanks/{tank}/revisions', { params: { path } }))])
    forecasts.set(id, c.forecast)
    const variants: TankInfo['variants'] = []
    for (const r of h?.revisions ?? []) if (r.variant && !variants.some((v) => v.name === r.variant)) variants.push({ name: r.variant, revision: r.number })
    const job = running.get(id) ?? null
    return { id, name: c.name, planted: c.planted, size: '', revision: c.revision, state: job ? 'running' : c.forecast === '' ? 'none' : c.fresh ? 'ready' : 'stale', old: c.old, forecast: c.forecast, shownDay: c.shown_day, job, variants }
  },
  async shown(tank: string, variant: string, tell: (share: number) => void = () => {}): Promise<Shown> {
    if (variant === '') {
      const key = forecasts.get(tank) ?? (await api.tank(tank)).forecast
      if (!key) throw new Refused(t('growNone'), 404)
      return shownFor(key)
    }
    const key = await api.ensure(tank, variant, tell)
    return shownFor(key)
  },
  /** Key of the forecast of a variant, made when there is none yet. */
  async ensure(tank: string, variant: string, tell: (share: number) => void): Promise<string> {
    const h = await ok(client.GET('/api/tanks/{tank}/revisions', { params: { path: { tank } } }))
    const revision = variant === '' ? h.current : (h.revisions.find((r) => r.variant === variant)?.number ?? h.current)
    const s = await ok(client.POST('/api/tanks/{tank}/forecast', { params: { path: { tank } }, body: { revision } }))
    if (s.state === 'working') await api.watch(String(s.job), tell)
    return s.key
  },
  async start(tank: string, variant: string): Promise<string> {
    const h = variant === '' ? null : await ok(client.GET('/api/tanks/{tank}/revisions', { params: { path: { tank } } }))
    const revision = h ? (h.revisions.find((r) => r.variant === variant)?.number ?? 0) : 0
    const s = await ok(client.POST('/api/tanks/{tank}/forecast', { params: { path: { tank } }, body: { revision } }))
    if (s.state === 'ready') return ''
    if (variant === '') running.set(tank, String(s.job))
    return String(s.job)
  },
  /** Follows long work to its end. */
  async watch(job: string, tell: (share: number, text: string) => void): Promise<'done' | 'cancelled'> {
    if (job === '') return 'done'
    return new Promise((done, fail) => {
      const es = new EventSource(told(`/api/jobs/${job}/events`))
      const end = (f: () => void) => {
        es.close()
        for (const [k, v] of running) if (v === job) running.delete(k)
        f()
      }
      const see = (e: MessageEvent<string>) => {
        const j = JSON.parse(e.data) as S['Job']
        tell(j.total > 0 ? j.done / j.total : 0, j.step)
        if (j.state === 'done') end(() => done('done'))
        else if (j.state === 'stopped') end(() => done('cancelled'))
        else if (j.state === 'failed') end(() => fail(new Error(sentence(j.error))))
      }
      es.addEventListener('job', see)
      es.addEventListener('message', see)
      let lost = 0
      es.addEventListener('open', () => (lost = 0))
      es.addEventListener('error', () => {
        if (++lost > 8 || es.readyState === EventSource.CLOSED) end(() => fail(new Unreachable(t('unreachable', { e: '' }))))
      })
    })
  },
  /** Which forecast the server makes again by itself. */
  async renewing(): Promise<{ tank: string; job: number; left: number }> {
    return ok(client.GET('/api/renewing'))
  },
  async cancel(job: string): Promise<void> {
    await ok(client.DELETE('/api/jobs/{job}', { params: { path: { job: Number(job) } } }))
  },
  async planText(tank: string, variant: string): Promise<string> {
    return (await api.plan(tank, variant)).text
  },
  async plan(tank: string, variant: string): Promise<{ text: string; revision: number }> {
    let revision = 0
    if (variant) {
      const h = await ok(client.GET('/api/tanks/{tank}/revisions', { params: { path: { tank } } }))
      revision = h.revisions.find((r) => r.variant === variant)?.number ?? 0
    }
    return api.revision(tank, revision)
  },
  async revision(tank: string, revision: number): Promise<{ text: string; revision: number }> {
    const p = await ok(client.GET('/api/tanks/{tank}/plan', { params: { path: { tank }, query: { revision } } }))
    return { text: p.text, revision: p.revision }
  },
  async revisions(tank: string): Promise<Revision[]> {
    return (await ok(client.GET('/api/tanks/{tank}/revisions', { params: { path: { tank } } }))).revisions
  },
  async savePlan(tank: string, body: { text: string; base: number; variant: string; name: string }): Promise<{ revision: number; problems: Problem[] }> {
    const p = await ok(client.PUT('/api/tanks/{tank}/plan', { params: { path: { tank } }, body }))
    return { revision: p.revision, problems: p.problems.map(problemOf) }
  },
  async nameRevision(tank: string, number: number, name: string): Promise<void> {
    await ok(client.PATCH('/api/tanks/{tank}/revisions/{number}', { params: { path: { tank, number } }, body: { name } }))
  },
  planURL: (tank: string, revision: number) => `/api/tanks/${tank}/revisions/${revision}/file?name=plan.yaml`,
  archiveURL: '/api/archive',
  async addArchive(file: Blob): Promise<number> {
    const a = await fetch('/api/archive', { method: 'POST', body: file, headers: { ...wishes(), 'content-type': 'application/zip' } })
    if (!a.ok) throw refused(a.status, (await a.json()) as ProblemDocument)
    return ((await a.json()) as S['ImportedTanks']).tanks.length
  },

  async members(key: string, members: number): Promise<string> {
    kept.clear()
    return String((await ok(client.POST('/api/forecasts/{key}/bands', { params: { path: { key } }, body: { members } }))).job)
  },
  async tryCure(key: string, finding: string, tell: (share: number) => void): Promise<void> {
    const { job } = await ok(client.POST('/api/forecasts/{key}/tries', { params: { path: { key } }, body: { finding } }))
    await api.watch(String(job), tell)
    kept.clear()
  },
  async light(key: string, day: number): Promise<Light> {
    return ok(client.GET('/api/forecasts/{key}/light', { params: { path: { key }, query: { day } } }))
  },
  async water(key: string): Promise<Water> {
    return ok(client.GET('/api/forecasts/{key}/water', { params: { path: { key } } }))
  },
  async swing(key: string, day: number): Promise<Swing> {
    return ok(client.GET('/api/forecasts/{key}/swing', { params: { path: { key }, query: { day } } }))
  },
  async sums(tank: string, day: number): Promise<SumQuestion[]> {
    return (await ok(client.GET('/api/sums', { params: { query: { tank, day } } }))).sums
  },
  async solveSum(topic: string, values: Record<string, string>, salts: SumSalt[]): Promise<SumAnswer> {
    return ok(client.POST('/api/sums/topics/{topic}', { params: { path: { topic } }, body: { values, salts } }))
  },
  /** Every row of a table reckoned; what comes back is the same table with the answers. */
  async sumTable(topic: string, table: Blob): Promise<Blob> {
    const a = await fetch(`/api/sums/topics/${topic}/table`, { method: 'POST', body: table, headers: { 'content-type': 'text/csv' } })
    if (!a.ok) throw refused(a.status, (await a.json()) as ProblemDocument)
    return a.blob()
  },
  async batchStart(tank: string): Promise<BatchStart> {
    return ok(client.GET('/api/sums/batch', { params: { query: { tank } } }))
  },
  async batch(tank: string, ask: BatchAsk): Promise<Batch> {
    return ok(client.POST('/api/sums/batch', { params: { query: { tank } }, body: ask }))
  },
  async bottles(ask: S['BottlesAsk']): Promise<Bottles> {
    return ok(client.POST('/api/sums/bottles', { body: ask }))
  },
  async reasons(): Promise<Reason[]> {
    return (await ok(client.GET('/api/reasons'))).numbers
  },

  async calendar(tank: string, from: number, to: number): Promise<Calendar> {
    return ok(client.GET('/api/tanks/{tank}/calendar', { params: { path: { tank }, query: { from, to } } }))
  },
  async visitPage(tank: string, date: string): Promise<VisitPage> {
    return ok(client.GET('/api/tanks/{tank}/visit', { params: { path: { tank }, query: date ? { date } : {} } }))
  },
  async measured(tank: string): Promise<Measured> {
    return ok(client.GET('/api/tanks/{tank}/measured', { params: { path: { tank } } }))
  },
  async story(tank: string): Promise<Story> {
    return ok(client.GET('/api/tanks/{tank}/story', { params: { path: { tank } } }))
  },
  async conflicts(tank: string): Promise<EntryVersion[]> {
    return (await ok(client.GET('/api/tanks/{tank}/conflicts', { params: { path: { tank } } }))).versions
  },
  /** Entries in force whose id begins with that of a visit. */
  async visitEntries(tank: string, visit: string): Promise<EntryVersion[]> {
    const out: EntryVersion[] = []
    let after = ''
    for (let page = 0; page < 10; page++) {
      const p = await ok(client.GET('/api/tanks/{tank}/journal', { params: { path: { tank }, query: { after, limit: 500 } } }))
      out.push(...p.entries.filter((e) => e.entry.id.startsWith(visit)))
      after = p.next
      if (after === '') break
    }
    return out
  },
  /** The version of an entry that is in force. */
  async entryNow(tank: string, entry: string): Promise<EntryVersion | undefined> {
    const all = (await ok(client.GET('/api/tanks/{tank}/journal/{entry}', { params: { path: { tank, entry } } }))).versions
    return all.find((v) => v.state === 'current')
  },
  async putEntry(w: Waiting): Promise<Answer> {
    try {
      const a = await ok(client.POST('/api/tanks/{tank}/journal', { params: { path: { tank: w.tank } }, body: { entries: [{ base: w.base, settles: w.settles, entry: w.body as Entry }] } }))
      const r = a.results[0]
      if (!r) return { result: 'refused', problem: t('answerBad', { n: 200 }) }
      return { result: r.result, version: r.base || r.version, current: r.current ? { base: r.base, entry: r.current } : undefined, problem: sentence(r.why) }
    } catch (e) {
      if (e instanceof Refused && !(e instanceof NeedsLogin) && !later(e.status)) return { result: 'refused', problem: e.message }
      return { result: 'unreachable', problem: (e as Error).message, login: e instanceof NeedsLogin }
    }
  },
  async putPhoto(p: WaitingPhoto): Promise<Answer> {
    try {
      const q = new URLSearchParams({ id: p.id, at: p.at, mark: p.mark })
      const a = await fetch(`/api/tanks/${p.tank}/photos?${q}`, { method: 'POST', body: p.blob, headers: { ...wishes(), 'content-type': p.blob.type || 'image/jpeg' } })
      if (a.ok) return { result: 'kept' }
      if (a.status === 401 || later(a.status)) return { result: 'unreachable', login: a.status === 401 }
      return { result: 'refused', problem: refused(a.status, (await a.json()) as ProblemDocument).message }
    } catch {
      return { result: 'unreachable' }
    }
  },
  async photos(tank: string): Promise<S['PhotoInfo'][]> {
    return (await ok(client.GET('/api/tanks/{tank}/photos', { params: { path: { tank } } }))).photos
  },
  photoURL: (tank: string, photo: string, thumb = false) => `/api/tanks/${tank}/photos/${photo}${thumb ? '?thumb=true' : ''}`,
  testsURL: (tank: string, as: 'csv' | 'xlsx') => `/api/tanks/${tank}/tests?as=${as}`,
  async addTests(tank: string, file: File): Promise<S['TestsRead']> {
    const xlsx = file.name.toLowerCase().endsWith('.xlsx')
    const a = await fetch(`/api/tanks/${tank}/tests`, { method: 'POST', body: file, headers: { ...wishes(), 'content-type': xlsx ? 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet' : 'text/csv' } })
    if (!a.ok) throw refused(a.status, (await a.json()) as ProblemDocument)
    return (await a.json()) as S['TestsRead']
  },

  async me(): Promise<Me> {
    const me = await ok(client.GET('/api/me'))
    looking = me.role === 'client'
    return me
  },
  async login(name: string, password: string): Promise<void> {
    await ok(client.POST('/api/login', { body: { name, password } }))
  },
  async logout(): Promise<void> {
    await ok(client.POST('/api/logout'))
    navigator.serviceWorker?.controller?.postMessage('forget')
  },
  async password(old: string, fresh: string): Promise<void> {
    await ok(client.POST('/api/me/password', { body: { old, new: fresh } }))
  },
  async house(): Promise<{ text: string; usual: string; problems: Problem[] }> {
    const h = await ok(client.GET('/api/house'))
    return { text: h.text, usual: h.usual, problems: h.problems.map(problemOf) }
  },
  async saveHouse(text: string): Promise<void> {
    await ok(client.PUT('/api/house', { body: { text } }))
  },
  async people(): Promise<Person[]> {
    return (await ok(client.GET('/api/people'))).people
  },
  async addPerson(name: string, role: Person['role'], password: string): Promise<void> {
    await ok(client.POST('/api/people', { body: { name, role, password } }))
  },
  async changePerson(person: string, change: S['ChangePerson']): Promise<void> {
    await ok(client.PATCH('/api/people/{person}', { params: { path: { person } }, body: change }))
  },
  async links(tank: string): Promise<ClientLink[]> {
    return (await ok(client.GET('/api/tanks/{tank}/links', { params: { path: { tank } } }))).links
  },
  async addLink(tank: string, name: string, days: number): Promise<ClientLink> {
    return ok(client.POST('/api/tanks/{tank}/links', { params: { path: { tank } }, body: { name, days } }))
  },
  async revokeLink(tank: string, link: string): Promise<void> {
    await ok(client.DELETE('/api/tanks/{tank}/links/{link}', { params: { path: { tank, link } } }))
  },
}

