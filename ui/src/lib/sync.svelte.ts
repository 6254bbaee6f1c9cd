// Sends what waits, whenever there may be a way: on opening, when the network comes back, after each change, and every twenty seconds.
import { api } from '../api/api'
import { onchange, send, waiting } from './outbox'

export const sync = $state<{ left: number; clashes: number; refused: number; reachable: boolean; login: boolean; versions: Record<string, number> }>({ left: 0, clashes: 0, refused: 0, reachable: true, login: false, versions: {} })

let soon: ReturnType<typeof setTimeout> | undefined
let running = false
let again = false

async function count(): Promise<void> {
  const w = await waiting()
  sync.left = w.entries.length + w.photos.length
  sync.clashes = w.entries.filter((e) => e.clash !== null).length
  sync.refused = w.entries.filter((e) => e.clash === null && e.problem !== '').length + w.photos.filter((p) => p.problem !== '').length
}

export async function syncNow(): Promise<void> {
  if (running) {
    again = true
    return
  }
  running = true
  try {
    do {
      again = false
      let reached = true
      const sender = {
        entry: async (w: Parameters<typeof api.putEntry>[0]) => {
          const a = await api.putEntry(w)
          sync.login = a.login ?? false
          if (a.result === 'unreachable' && !a.login) reached = false
          if ((a.result === 'kept' || a.result === 'already') && a.version) sync.versions[w.id] = a.version
          return a
        },
        photo: async (p: Parameters<typeof api.putPhoto>[0]) => {
          const a = await api.putPhoto(p)
          sync.login = a.login ?? false
          if (a.result === 'unreachable' && !a.login) reached = false
          return a
        },
      }
      const before = await waiting()
      if (before.entries.length + before.photos.length > 0) {
        await send(sender)
        sync.reachable = reached
      }
    } while (again)
    await count()
  } finally {
    running = false
  }
}

export function syncSoon(): void {
  clearTimeout(soon)
  soon = setTimeout(() => void syncNow(), 600)
}

export function startSync(): void {
  onchange(() => void count())
  addEventListener('online', syncSoon)
  addEventListener('visibilitychange', () => document.visibilityState === 'visible' && syncSoon())
  setInterval(() => sync.left > sync.clashes + sync.refused && void syncNow(), 20_000)
  void count().then(syncSoon)
}
