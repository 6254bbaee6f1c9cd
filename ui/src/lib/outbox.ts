// What was written beside the tank and has not reached the server yet. It is kept in the browser's own database, so that closing the page,
// a dead battery or a lost network loses nothing; it leaves only when the server has said that it keeps it.
//
// Every record belongs to one open page (its session), because two pages may write the same visit: neither may put its text over the
// other's here. The server tells them apart by the version each had seen.

export interface Waiting {
  key: string // entry and session
  id: string // of the entry, made here, so that sending twice keeps one
  tank: string
  base: number // version the writer had seen
  kind: string
  at: string
  body: unknown
  settles: boolean
  changed: number // ms since the epoch: order of sending
  clash: unknown // the server's entry in force, when it was changed meanwhile; null else
  problem: string // what the server said against it; empty when nothing
}

export interface WaitingPhoto {
  id: string
  tank: string
  mark: string
  at: string
  blob: Blob
  problem: string
}

export interface Answer {
  result: 'kept' | 'already' | 'conflict' | 'refused' | 'unreachable'
  version?: number
  current?: unknown
  problem?: string
  login?: boolean // the server wants to know who one is before it takes anything
}

export interface Sender {
  entry: (w: Waiting) => Promise<Answer>
  photo: (p: WaitingPhoto) => Promise<Answer>
}

let opened: Promise<IDBDatabase> | null = null

function database(): Promise<IDBDatabase> {
  opened ??= new Promise((done, fail) => {
    const r = indexedDB.open('littoral', 1)
    r.onupgradeneeded = () => {
      r.result.createObjectStore('entries', { keyPath: 'key' })
      r.result.createObjectStore('photos', { keyPath: 'id' })
    }
    r.onsuccess = () => done(r.result)
    r.onerror = () => fail(r.error ?? new Error('the database of the browser does not open'))
  })
  return opened
}

async function run<T>(store: 'entries' | 'photos', mode: IDBTransactionMode, what: (s: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const db = await database()
  return new Promise((done, fail) => {
    const tx = db.transaction(store, mode, { durability: 'strict' })
    const r = what(tx.objectStore(store))
    tx.oncomplete = () => done(r.result)
    tx.onerror = () => fail(tx.error ?? new Error('the browser could not keep it'))
    tx.onabort = () => fail(tx.error ?? new Error('the browser could not keep it'))
  })
}

export const session = crypto.randomUUID()

export function keyOf(id: string): string {
  return `${id} ${session}`
}

const LOCK = 'littoral-page-'
// A page holds a lock of its own as long as it is open: so others know whose records still have somebody who writes them.
if (typeof navigator !== 'undefined' && navigator.locks) void navigator.locks.request(LOCK + session, () => new Promise(() => {}))

/** Records of this page, and those that a closed page left behind; never those of another page that is open. */
async function ours(entries: Waiting[]): Promise<Waiting[]> {
  if (typeof navigator === 'undefined' || !navigator.locks) return entries
  const held = new Set(((await navigator.locks.query()).held ?? []).map((l) => l.name))
  return entries.filter((e) => {
    const owner = e.key.slice(e.id.length + 1)
    return owner === session || !held.has(LOCK + owner)
  })
}

/** What waits of an entry or of a visit's entries (their ids begin with its own), as far as it is this page's to send. */
export async function oursOf(id: string): Promise<Waiting[]> {
  return ours((await waiting()).entries.filter((e) => e.id.startsWith(id)))
}

/** Returns when the browser has it on disk. */
export async function hold(w: Omit<Waiting, 'key' | 'changed' | 'clash' | 'problem'>): Promise<void> {
  // A plain copy: what pages hold may be a live proxy that the database cannot keep.
  const plain = JSON.parse(JSON.stringify(w)) as typeof w
  await run('entries', 'readwrite', (s) => s.put({ ...plain, key: keyOf(w.id), changed: Date.now(), clash: null, problem: '' } satisfies Waiting))
  announce()
}

export async function holdPhoto(p: Omit<WaitingPhoto, 'problem'>): Promise<void> {
  await run('photos', 'readwrite', (s) => s.put({ ...p, problem: '' }))
  announce()
}

export async function waiting(): Promise<{ entries: Waiting[]; photos: WaitingPhoto[] }> {
  const [entries, photos] = await Promise.all([run<Waiting[]>('entries', 'readonly', (s) => s.getAll()), run<WaitingPhoto[]>('photos', 'readonly', (s) => s.getAll())])
  return { entries: entries.sort((a, b) => a.changed - b.changed), photos }
}

export async function photo(id: string): Promise<WaitingPhoto | undefined> {
  return run<WaitingPhoto | undefined>('photos', 'readonly', (s) => s.get(id) as IDBRequest<WaitingPhoto | undefined>)
}

/** What the server refused. */
export async function refused(): Promise<{ entries: Waiting[]; photos: WaitingPhoto[] }> {
  const w = await waiting()
  return { entries: w.entries.filter((e) => e.problem !== '' && e.clash === null), photos: w.photos.filter((p) => p.problem !== '') }
}

/** Ids of the photos that waiting entries of a visit name. */
export async function photosFor(visit: string): Promise<Set<string>> {
  return new Set((await waiting()).entries.filter((e) => e.id.startsWith(visit)).map(photoOf))
}

/** What the server refused goes to it again, as it is. */
export async function retry(w: Waiting): Promise<void> {
  await run('entries', 'readwrite', (s) => s.put({ ...w, problem: '' }))
  announce()
}

export async function retryPhoto(p: WaitingPhoto): Promise<void> {
  await run('photos', 'readwrite', (s) => s.put({ ...p, problem: '' }))
  announce()
}

/** A photo goes, and the entry that names it. */
export async function letGoPhoto(id: string): Promise<void> {
  for (const e of (await waiting()).entries) if (e.kind === 'photo' && photoOf(e) === id) await run('entries', 'readwrite', (s) => s.delete(e.key))
  await run('photos', 'readwrite', (s) => s.delete(id))
  announce()
}

/** The photo that an entry names. */
function photoOf(e: Waiting): string {
  return (e.body as { photo?: { id?: string } } | null)?.photo?.id ?? ''
}

/** A record that a closed page left goes on under this page's name, with what the server said against it. */
export async function adopt(w: Waiting): Promise<void> {
  if (w.key === keyOf(w.id)) return
  const plain = JSON.parse(JSON.stringify(w)) as Waiting // what pages hold may be a live proxy
  await run('entries', 'readwrite', (s) => s.put({ ...plain, key: keyOf(w.id) }))
  await run('entries', 'readwrite', (s) => s.delete(w.key))
  announce()
}

export async function letGo(key: string): Promise<void> {
  await run('entries', 'readwrite', (s) => s.delete(key))
  announce()
}

const listeners = new Set<() => void>()

/** Tells when something is kept or has left; returns how to stop. */
export function onchange(f: () => void): () => void {
  listeners.add(f)
  return () => listeners.delete(f)
}

const channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel('littoral-outbox')
channel?.addEventListener('message', () => listeners.forEach((f) => f()))

function announce(): void {
  listeners.forEach((f) => f())
  channel?.postMessage('changed')
}

export interface Outcome {
  sent: { waiting: Waiting; answer: Answer }[]
  left: number
}

/**
 * Sends what waits: photos first, so that an entry never names a photo that the server does not have. One page sends at a time.
 * A record leaves only if it was not written again while it travelled; the newer text then waits with the version just told. What the server has
 * refused waits for a person, and so does an entry that names a photo which it refused.
 */
export async function send(sender: Sender): Promise<Outcome> {
  const work = async (): Promise<Outcome> => {
    const sent: Outcome['sent'] = []
    const all = await waiting()
    const late = new Set<string>()
    for (const p of all.photos) {
      if (p.problem !== '') {
        late.add(p.id)
        continue
      }
      const a = await sender.photo(p)
      if (a.result === 'unreachable') return { sent, left: all.entries.length + all.photos.length }
      if (a.result === 'kept' || a.result === 'already') await run('photos', 'readwrite', (s) => s.delete(p.id))
      else {
        late.add(p.id)
        await run('photos', 'readwrite', (s) => s.put({ ...p, problem: a.problem ?? '' }))
      }
    }
    for (const e of await ours(all.entries)) {
      if (e.clash !== null || e.problem !== '' || late.has(photoOf(e))) continue
      const a = await sender.entry(e)
      if (a.result === 'unreachable') break
      const now = await run<Waiting | undefined>('entries', 'readonly', (s) => s.get(e.key) as IDBRequest<Waiting | undefined>)
      const same = now !== undefined && now.changed === e.changed
      if (a.result === 'kept' || a.result === 'already') {
        if (same) await run('entries', 'readwrite', (s) => s.delete(e.key))
        else if (now) await run('entries', 'readwrite', (s) => s.put({ ...now, base: Math.max(now.base, a.version ?? now.base) }))
      } else if (now) {
        await run('entries', 'readwrite', (s) => s.put({ ...now, clash: a.result === 'conflict' ? (a.current ?? {}) : null, problem: a.problem ?? '' }))
      }
      sent.push({ waiting: e, answer: a })
    }
    announce()
    const rest = await waiting()
    return { sent, left: rest.entries.length + rest.photos.length }
  }
  if (typeof navigator !== 'undefined' && navigator.locks) return navigator.locks.request('littoral-outbox', work)
  return work()
}
