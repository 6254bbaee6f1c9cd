// The service worker: the pages open without a network. Files of the build are kept when it is installed; what the server last said of
// tanks, care and journal is kept as it passes, and told again only when the server cannot be reached. Writes never go through here: they
// wait in the outbox of the page (see src/lib/outbox.ts).
const BUILD = '__BUILD__'
const FILES = ['__FILES__']
const SHELL = `littoral-pages-${BUILD}`
const DATA = 'littoral-data'

self.addEventListener('install', (e) => {
  e.waitUntil(
    caches
      .open(SHELL)
      .then((c) => c.addAll(['/', ...FILES]))
      .then(() => self.skipWaiting()),
  )
})

self.addEventListener('activate', (e) => {
  e.waitUntil(
    caches
      .keys()
      .then((all) => Promise.all(all.filter((n) => n.startsWith('littoral-pages-') && n !== SHELL).map((n) => caches.delete(n))))
      .then(() => self.clients.claim()),
  )
})

// Of the server's answers only small ones that a visit needs are kept: no scenes, no events, no files to download, nothing about accounts.
function kept(url, answer) {
  if (/\/(events|progress|scene\.glb|export|report|backup|login|logout|session|links|users|people|audit)(\/|$|\?|\.)/.test(url.pathname)) return false
  const type = answer.headers.get('content-type') ?? ''
  return answer.ok && (type.startsWith('application/json') || type.startsWith('image/'))
}

// What is kept is kept once, in the language last read: without a network an answer in another language is better than none.
function plain(url) {
  const u = new URL(url)
  u.searchParams.delete('lang')
  u.searchParams.delete('units')
  return u.href
}

async function fromServer(request, url) {
  const data = await caches.open(DATA)
  try {
    const answer = await fetch(request)
    if (kept(url, answer)) await data.put(plain(url), answer.clone()).catch(() => {})
    return answer
  } catch (err) {
    const old = await data.match(plain(url), { ignoreVary: true })
    if (old) {
      const headers = new Headers(old.headers)
      headers.set('littoral-kept', '1')
      return new Response(await old.blob(), { status: old.status, headers })
    }
    throw err
  }
}

async function fromShell(request, navigate) {
  const shell = await caches.open(SHELL)
  if (!navigate) {
    const have = await shell.match(request)
    if (have) return have
    return fetch(request)
  }
  try {
    return await fetch(request)
  } catch (err) {
    const page = await shell.match('/')
    if (page) return page
    throw err
  }
}

self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url)
  if (e.request.method !== 'GET' || url.origin !== self.location.origin) return
  if (e.request.headers.get('accept') === 'text/event-stream') return
  if (url.pathname.startsWith('/api/')) e.respondWith(fromServer(e.request, url))
  else e.respondWith(fromShell(e.request, e.request.mode === 'navigate'))
})

self.addEventListener('message', (e) => {
  if (e.data === 'forget') e.waitUntil(caches.delete(DATA))
})
