// Addresses of pages: plain paths, so that every page can be kept as a bookmark and opened again.
export const place = $state<{ path: string; query: string }>({ path: location.pathname, query: location.search })

function read(): void {
  place.path = location.pathname
  place.query = location.search
}

export function go(to: string, replace = false): void {
  if (to === location.pathname + location.search) return
  history[replace ? 'replaceState' : 'pushState'](null, '', to)
  const before = place.path
  read()
  if (place.path !== before) {
    scrollTo(0, 0)
    queueMicrotask(() => document.getElementById('title')?.focus({ preventScroll: true }))
  }
}

/** Keeps a value in the address without a new step back. */
export function note(key: string, value: string | null): void {
  const q = new URLSearchParams(location.search)
  if (value === null) q.delete(key)
  else q.set(key, value)
  const s = q.toString()
  history.replaceState(null, '', location.pathname + (s ? `?${s}` : ''))
  place.query = location.search
}

export function query(key: string): string | null {
  return new URLSearchParams(place.query).get(key)
}

/** Links of the page lead within it; all others (files, other keys) go their own way. */
export function follow(e: MouseEvent): void {
  if (e.defaultPrevented || e.button !== 0 || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return
  const a = (e.target as Element | null)?.closest?.('a')
  if (!a || a.target || a.hasAttribute('download') || a.origin !== location.origin) return
  if (a.pathname.startsWith('/api/')) return
  if (a.pathname === location.pathname && a.hash) return
  e.preventDefault()
  go(a.pathname + a.search)
}

addEventListener('popstate', read)
