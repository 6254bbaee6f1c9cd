// The picture to trace over is kept in this browser's own store, not in the plan: it is a help for the hand, and photos of clients' rooms
// need not travel with the file.
const NAME = 'littoral-backdrops'

export interface Backdrop {
  blob: Blob
  at: [number, number] // lower left corner, cm
  cm: number // of a pixel
  shown: number // 0 to 1
}

function open(): Promise<IDBDatabase> {
  return new Promise((done, fail) => {
    const r = indexedDB.open(NAME, 1)
    r.onupgradeneeded = () => r.result.createObjectStore('pictures')
    r.onsuccess = () => done(r.result)
    r.onerror = () => fail(r.error ?? new Error(NAME))
  })
}
async function on<T>(mode: IDBTransactionMode, work: (s: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const db = await open()
  try {
    return await new Promise<T>((done, fail) => {
      const r = work(db.transaction('pictures', mode).objectStore('pictures'))
      r.onsuccess = () => done(r.result)
      r.onerror = () => fail(r.error ?? new Error(NAME))
    })
  } finally {
    db.close()
  }
}
export const kept = (tank: string): Promise<Backdrop | undefined> => on('readonly', (s) => s.get(tank) as IDBRequest<Backdrop | undefined>)
export const keep = async (tank: string, b: Backdrop): Promise<void> => void (await on('readwrite', (s) => s.put(b, tank)))
export const forget = async (tank: string): Promise<void> => void (await on('readwrite', (s) => s.delete(tank)))

/** The picture anew so that two of its points lie so many cm apart; the first stays where it is. */
export function scaledTo(b: Omit<Backdrop, 'blob'>, from: readonly [number, number], to: readonly [number, number], real: number): Omit<Backdrop, 'blob'> {
  const now = Math.hypot(to[0] - from[0], to[1] - from[1])
  if (!(now > 0) || !(real > 0)) return b
  const f = real / now
  return { ...b, cm: b.cm * f, at: [from[0] + (b.at[0] - from[0]) * f, from[1] + (b.at[1] - from[1]) * f] }
}
