// What the tests of the pages share: a program that serves a shelf of its own, a browser without a window, and a page that listens.
import assert from 'node:assert/strict'
import { spawn } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import axe from 'axe-core'
import { chromium } from 'playwright-core'

export const root = fileURLToPath(new URL('..', import.meta.url))

// browserPath finds the browser that scripts/browser.sh made sure of.
export function browserPath() {
  for (const name of [process.env.CHROMIUM, 'chromium', 'chromium-browser', 'google-chrome'].filter(Boolean)) {
    for (const folder of name.includes('/') ? [''] : process.env.PATH.split(delimiter)) {
      const file = folder ? join(folder, name) : name
      if (existsSync(file)) return file
    }
  }
  throw new Error('no Chromium found: run scripts/browser.sh, or set CHROMIUM to its path')
}

export function launch(more = []) {
  return chromium.launch({
    executablePath: browserPath(),
    args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync', ...more],
  })
}

// serve starts the program on a folder and resolves once it says where it listens.
export function serve(data, { port = 0, more = [], program = join(root, 'bin', 'littoral') } = {}) {
  const child = spawn(program, ['serve', '--data', data, '--port', String(port), ...more], { stdio: ['ignore', 'pipe', 'pipe'] })
  let said = ''
  return new Promise((done, fail) => {
    const hear = (b) => {
      said += b
      const m = /(https?:\/\/[\w.[\]:]+:\d+)/.exec(said)
      if (m) done({ child, url: m[1].replace(/\[::\]|0\.0\.0\.0/, 'localhost'), port: Number(m[1].split(':').at(-1)), said: () => said })
    }
    child.stderr.on('data', hear)
    child.stdout.on('data', hear)
    child.on('exit', (code) => fail(new Error(`the server ended with ${code}: ${said}`)))
  })
}

// stop ends a server and waits until it has gone.
export function stop(server, signal = 'SIGTERM') {
  if (server.child.exitCode !== null || server.child.signalCode !== null) return Promise.resolve()
  return new Promise((done) => {
    server.child.once('exit', done)
    server.child.kill(signal)
  })
}

// listen keeps what a page says to the console and asks outside the server. Lines that a test expects are named by a pattern.
export function listen(page, base) {
  const heard = { messages: [], outside: [] }
  page.on('console', (m) => heard.messages.push(`${m.type()}: ${m.text()}`))
  page.on('pageerror', (e) => heard.messages.push(`error: ${e.message}`))
  page.on('request', (r) => {
    const u = r.url()
    if (!u.startsWith(base) && !u.startsWith('data:') && !u.startsWith('blob:')) heard.outside.push(u)
  })
  return heard
}

// accessible runs the accessibility rules over a page as it stands.
export async function accessible(page, what) {
  // The ruler lies over the foot of the page while one scrolls; the rules would take what it covers just then for too small to touch.
  await page.evaluate(() => document.querySelectorAll('.foot').forEach((f) => f.style.setProperty('position', 'static')))
  await page.evaluate(axe.source)
  const violations = await page.evaluate(async () => {
    const r = await window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })
    return r.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(' ')).join(', ')}`)
  })
  assert.deepEqual(violations, [], what)
}

export async function fits(page, what) {
  const [content, view] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth])
  assert.ok(content <= view, `${what}: the page is ${content} pixels wide in a window of ${view}`)
}

export const widths = [
  [390, 844],
  [834, 1112],
  [1440, 960],
]

// desk puts the small demo on the shelf as if it had been planted so many days ago, forecasts it, and resolves to the tank's id.
export async function desk(server, ago, days = 200) {
  const ask = async (path, body) => {
    const r = await fetch(server.url + path, { method: body ? 'POST' : 'GET', body: body && JSON.stringify(body), headers: body && { 'content-type': 'application/json' } })
    assert.ok(r.ok, `${path}: ${r.status}`)
    return r.json()
  }
  const planted = new Date(Date.now() - ago * 86_400_000).toISOString().slice(0, 10)
  const dir = join(root, 'examples', 'reading-desk')
  const plan = readFileSync(join(dir, 'plan.yaml'), 'utf8').replace(/^planted: .*$/m, `planted: "${planted}"`)
  const files = ['house.yaml', 'prices.csv'].map((name) => ({ name, data: readFileSync(join(dir, name)).toString('base64') }))
  const { id } = await ask('/api/tanks', { plan, files })
  const { job } = await ask(`/api/tanks/${id}/forecast`, { days })
  for (;;) {
    const { state, error } = await ask(`/api/jobs/${job}`)
    if (state === 'done') return id
    assert.ok(state === 'waiting' || state === 'running', error)
    await new Promise((r) => setTimeout(r, 200))
  }
}
