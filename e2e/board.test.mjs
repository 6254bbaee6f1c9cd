// The drawing board on the real program: a tank planned from nothing to a forecast by pointer, by keys alone and by finger; undo across a
// reload; two windows on one plan; readable, accessible and silent; two thousand plantings.
import { after, before, describe, test } from 'node:test'
import assert from 'node:assert/strict'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { accessible, fits, launch, listen, serve, stop, widths } from './house.mjs'

const wait = { timeout: 180_000 } // a loaded machine is slow; nothing here is a promise of speed

// Nothing but glass, water and the hours of light.
const bare = (name) => `littoral: 1
name: ${name}   # the client's own name for it
tank:
  shape: box
  inside: {length: 90 cm, width: 45 cm, height: 45 cm}
  water-level: 41 cm
light-day: {on: "12:00", hours: 8}
water:
  tap: {alkalinity: 4 dKH, hardness: 7 dGH}
heater: {power: 200 W, set: 24 °C}
`

describe('the drawing board', () => {
  let data, server, browser
  before(async () => {
    data = mkdtempSync(join(tmpdir(), 'littoral-board-'))
    server = await serve(data)
    browser = await launch()
  })
  after(async () => {
    await browser?.close()
    if (server) await stop(server)
    if (data) rmSync(data, { recursive: true, force: true })
  })

  async function tank(plan) {
    const a = await fetch(`${server.url}/api/tanks`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify({ plan, files: [] }) })
    const b = await a.json()
    assert.equal(a.status, 201, JSON.stringify(b))
    return b.id
  }
  const board = async (id) => (await fetch(`${server.url}/api/tanks/${id}/board`)).json()
  async function open(id, { width = 1440, height = 960, scheme = 'light', context, ...more } = {}) {
    const c = context ?? (await browser.newContext({ viewport: { width, height }, colorScheme: scheme, ...more }))
    const page = await c.newPage()
    const heard = listen(page, server.url)
    await page.goto(`${server.url}/tanks/${id}/layout`)
    await page.waitForFunction(() => Number(document.querySelector('.live')?.dataset.frames ?? 0) > 0, null, wait)
    return { context: c, page, heard }
  }
  // Where a place of the plan lies in the window.
  async function spot(page, x, y) {
    await page.locator('.live').scrollIntoViewIfNeeded()
    return page.evaluate(([x, y]) => {
      const c = document.querySelector('.live')
      const [scale, ox, oy] = c.dataset.view.split(' ').map(Number)
      const r = c.getBoundingClientRect()
      return [r.left + ox + x * scale, r.top + oy - y * scale]
    }, [x, y])
  }
  const settled = (page) => page.getByText('all kept').waitFor(wait)
  async function until(id, say, is) {
    for (let n = 0; n < 300; n++) {
      const b = await board(id)
      if (is(b)) return b
      await new Promise((done) => setTimeout(done, 100))
    }
    const { text } = await board(id)
    assert.fail(`${say}: ${text}`)
  }

  test('plans a whole tank by pointer', async () => {
    const id = await tank(bare('By pointer'))
    const { context, page, heard } = await open(id)
    const click = async (x, y) => page.mouse.click(...(await spot(page, x, y)))
    const drag = async (...way) => {
      const p = []
      for (const [x, y] of way) p.push(await spot(page, x, y))
      await page.mouse.move(...p[0])
      await page.mouse.down()
      for (const q of p.slice(1)) await page.mouse.move(...q, { steps: 6 })
      await page.mouse.up()
    }
    const tool = async (drawer, name) => {
      await page.getByRole('button', { name: drawer, exact: true }).click()
      if (name) await page.getByRole('group', { name: drawer, exact: true }).getByRole('button', { name, exact: true }).click()
    }
    await page.locator('summary', { hasText: 'The bed' }).click()
    await page.getByRole('button', { name: 'Another layer' }).click()
    await until(id, 'a layer', (b) => b.ground.layers.length === 1)
    await tool('Bed', 'Raise')
    await page.getByLabel('By', { exact: true }).fill('5')
    await page.getByLabel('By', { exact: true }).press('Enter')
    await drag([15, 38], [45, 40], [75, 38])
    await until(id, 'a raised bed', (b) => Math.max(...b.ground.top_cm) > 9)
    await tool('Stone and wood', 'Stone')
    await click(30, 25)
    await until(id, 'a stone', (b) => b.hardscape.length === 1)
    await tool('Stone and wood', 'Root')
    await click(58, 26)
    await until(id, 'a root', (b) => b.hardscape.length === 2)
    await tool('Plants', 'Over an area')
    await page.getByLabel('Species', { exact: true }).fill('Eleocharis pusilla')
    for (const [x, y] of [[5, 4], [80, 4], [80, 14], [5, 14]]) await click(x, y)
    await page.getByRole('button', { name: 'Done', exact: true }).click()
    await until(id, 'a carpet', (b) => b.plants.length === 1 && b.plants[0].way === 'in')
    await tool('Plants', 'Along a line')
    await page.getByLabel('Species', { exact: true }).fill('Vallisneria nana')
    await drag([10, 41], [45, 42], [80, 41])
    await until(id, 'a row', (b) => b.plants.some((p) => p.way === 'along'))
    await tool('Plants', 'On stone or wood')
    await page.getByLabel('Species', { exact: true }).fill('Anubias barteri var. nana')
    await click(58, 26)
    await until(id, 'a tied plant', (b) => b.plants.some((p) => p.on === b.hardscape[1].id))
    await tool('Equipment', 'Lamp')
    await click(45, 22)
    await tool('Equipment', 'Outlet')
    await click(5, 40)
    const b = await until(id, 'lamp and filter', (b) => b.lamps.length === 1 && b.filters.length === 1)

    // The stone is dragged, its tied plants and the comment of the text stay.
    await tool('Choose')
    const at = b.hardscape[0].at_cm
    await drag(at, [at[0] - 10, at[1] + 3])
    const c = await until(id, 'a moved stone', (x) => Math.abs(x.hardscape[0].at_cm[0] - at[0]) > 5)
    assert.match(c.text, /# the client's own name for it/)
    await page.getByRole('button', { name: /^Undo/ }).click()
    await until(id, 'undone', (x) => x.hardscape[0].at_cm[0] === at[0])
    await page.getByRole('button', { name: /^Redo/ }).click()
    await until(id, 'redone', (x) => x.hardscape[0].at_cm[0] === c.hardscape[0].at_cm[0])

    await page.getByRole('button', { name: 'Forecast three years' }).click()
    await page.getByText('The forecast is up to date.').waitFor(wait)
    await page.getByLabel('grown').selectOption('365')
    await page.getByText('As grown in the last forecast').waitFor(wait)
    await accessible(page, 'a laid-out tank')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  test('plans a whole tank by keys alone', async () => {
    const id = await tank(bare('By keys'))
    const { context, page, heard } = await open(id)
    const drawing = page.getByRole('application', { name: 'Plan drawing' })
    // Everything is reached by focus and typed: no pointer.
    const press = async (locator, key = 'Enter') => {
      await locator.focus()
      await page.keyboard.press(key)
    }
    const walk = async (dx, dy) => {
      for (const [n, [coarse, key]] of [[dx, [10, dx > 0 ? 'ArrowRight' : 'ArrowLeft']], [dy, [10, dy > 0 ? 'ArrowUp' : 'ArrowDown']]]) {
        for (let k = 0; k < Math.floor(Math.abs(n) / coarse); k++) await page.keyboard.press(`Shift+${key}`)
        for (let k = 0; k < Math.abs(n) % coarse; k++) await page.keyboard.press(key)
      }
    }
    const tool = async (drawer, name) => {
      await press(page.getByRole('button', { name: drawer, exact: true }))
      if (name) await press(page.getByRole('group', { name: drawer, exact: true }).getByRole('button', { name, exact: true }))
      await drawing.focus()
    }
    await press(page.locator('summary', { hasText: 'The bed' }))
    await press(page.getByRole('button', { name: 'Another layer' }))
    await until(id, 'a layer', (b) => b.ground.layers.length === 1)
    await tool('Bed', 'Raise')
    await page.keyboard.press('Enter')
    await until(id, 'a raised bed', (b) => Math.max(...b.ground.top_cm) > 6.5)
    await tool('Stone and wood', 'Stone')
    await walk(-20, 0)
    await page.keyboard.press('Enter')
    await until(id, 'a stone', (b) => b.hardscape.length === 1)
    await tool('Stone and wood', 'Root')
    await walk(30, 0)
    await page.keyboard.press('Enter')
    await until(id, 'a root', (b) => b.hardscape.length === 2)
    await press(page.getByRole('button', { name: 'Plants', exact: true }))
    await press(page.getByRole('group', { name: 'Plants', exact: true }).getByRole('button', { name: 'Over an area' }))
    await page.getByLabel('Species', { exact: true }).focus()
    await page.keyboard.type('Eleocharis pusilla')
    await drawing.focus()
    await walk(-45, -15)
    await page.keyboard.press('Enter')
    await walk(60, 0)
    await page.keyboard.press('Enter')
    await walk(0, 10)
    await page.keyboard.press('Enter')
    await walk(-60, 0)
    await page.keyboard.press('Enter')
    await page.keyboard.press('Shift+Enter')
    await until(id, 'a carpet', (b) => b.plants.length === 1 && b.plants[0].points_cm.length === 4)
    await tool('Equipment', 'Lamp')
    await page.keyboard.press('Enter')
    await until(id, 'a lamp', (b) => b.lamps.length === 1)
    await tool('Equipment', 'Outlet')
    await page.keyboard.press('Enter')
    let b = await until(id, 'a filter', (b) => b.filters.length === 1)

    // Walk to the stone, move, turn and sink it, group both pieces, lock them; every step is said.
    await tool('Choose')
    await page.keyboard.press('Escape')
    await page.keyboard.press('Enter')
    const says = page.locator('p.out[role=status]')
    for (let n = 0; n < 12 && !/stone/.test(await says.innerText()); n++) await page.keyboard.press('Tab')
    assert.match(await says.innerText(), /\d of \d: stone, stone/)
    const was = b.hardscape.find((h) => h.id === 'stone')
    await page.keyboard.press('ArrowLeft')
    await page.keyboard.press('Alt+ArrowUp')
    await page.waitForTimeout(700)
    b = await until(id, 'moved', (x) => Math.abs(x.hardscape.find((h) => h.id === 'stone').at_cm[0] - was.at_cm[0] + 1) < 0.05)
    await page.keyboard.press('t')
    await until(id, 'turned', (x) => x.hardscape.find((h) => h.id === 'stone').turn_deg === 5)
    await page.keyboard.press('d')
    await until(id, 'sunk', (x) => x.hardscape.find((h) => h.id === 'stone').sink_cm === was.sink_cm + 0.5)
    await page.keyboard.press('w')
    await until(id, 'once more', (x) => x.hardscape.length === 3)
    await settled(page)
    await page.keyboard.press('l')
    await until(id, 'locked', (x) => x.hardscape.some((h) => h.locked))
    for (let n = 0; n < 3; n++) await page.keyboard.press('Control+z')
    await until(id, 'undone', (x) => x.hardscape.length === 2 && !x.hardscape.some((h) => h.locked) && x.hardscape.find((h) => h.id === 'stone').sink_cm === was.sink_cm)
    // The drawing is no trap: Escape, then Tab goes on.
    await drawing.focus()
    await page.keyboard.press('Escape')
    await page.keyboard.press('Tab')
    assert.equal(await drawing.evaluate((d) => d === document.activeElement), false)

    await press(page.getByRole('button', { name: 'Forecast three years' }))
    await page.getByText('The forecast is up to date.').waitFor(wait)
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  test('plans a whole tank by finger on a phone', async () => {
    const id = await tank(bare('By finger'))
    const { context, page, heard } = await open(id, { width: 390, height: 844, hasTouch: true, isMobile: true })
    const tap = async (locator) => {
      await locator.scrollIntoViewIfNeeded()
      await locator.tap()
    }
    const tool = async (drawer, name) => {
      await tap(page.getByRole('button', { name: drawer, exact: true }))
      if (name) await tap(page.getByRole('group', { name: drawer, exact: true }).getByRole('button', { name, exact: true }))
    }
    const touch = async (x, y) => page.touchscreen.tap(...(await spot(page, x, y)))
    const cdp = await context.newCDPSession(page)
    const drag = async (from, to) => {
      const a = await spot(page, ...from)
      const b = await spot(page, ...to)
      await cdp.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: a[0], y: a[1] }] })
      for (let k = 1; k <= 6; k++) await cdp.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: [{ x: a[0] + ((b[0] - a[0]) * k) / 6, y: a[1] + ((b[1] - a[1]) * k) / 6 }] })
      await cdp.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
    }
    await tap(page.locator('summary', { hasText: 'The bed' }))
    await tap(page.getByRole('button', { name: 'Another layer' }))
    await until(id, 'a layer', (b) => b.ground.layers.length === 1)
    await tool('Stone and wood', 'Stone')
    await touch(30, 25)
    await until(id, 'a stone', (b) => b.hardscape.length === 1)
    await tool('Plants', 'One by one')
    await page.getByLabel('Species', { exact: true }).fill('Cryptocoryne wendtii')
    await touch(60, 20)
    await until(id, 'a plant', (b) => b.plants.length === 1)
    await tool('Equipment', 'Lamp')
    await touch(45, 22)
    await tool('Equipment', 'Outlet')
    await touch(5, 40)
    const b = await until(id, 'lamp and filter', (x) => x.lamps.length === 1 && x.filters.length === 1)
    await tool('Choose')
    await drag(b.hardscape[0].at_cm, [40, 30])
    await until(id, 'a stone moved by finger', (x) => Math.hypot(x.hardscape[0].at_cm[0] - 40, x.hardscape[0].at_cm[1] - 30) < 3)
    // The same without a drag.
    await tap(page.getByRole('button', { name: 'To the left', exact: true }))
    await until(id, 'a stone moved by a button', (x) => x.undo.can)
    // Two fingers come nearer.
    const before = await page.locator('.live').getAttribute('data-view')
    const m = await spot(page, 45, 22)
    await cdp.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: m[0] - 20, y: m[1], id: 0 }, { x: m[0] + 20, y: m[1], id: 1 }] })
    for (let k = 1; k <= 5; k++) await cdp.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: [{ x: m[0] - 20 - 8 * k, y: m[1], id: 0 }, { x: m[0] + 20 + 8 * k, y: m[1], id: 1 }] })
    await cdp.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
    await page.waitForFunction((v) => Number(document.querySelector('.live').dataset.view.split(' ')[0]) > 1.5 * Number(v.split(' ')[0]), before, wait)
    await fits(page, 'the board on a phone')
    await tap(page.getByRole('button', { name: 'Forecast three years' }))
    await page.getByText('The forecast is up to date.').waitFor(wait)
    await accessible(page, 'the board on a phone')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  test('takes steps back across a reload, to the same text', async () => {
    const id = await tank(bare('Undone'))
    const first = (await board(id)).text
    const { context, page } = await open(id)
    await page.getByRole('button', { name: 'Stone and wood', exact: true }).click()
    for (const [x, y] of [[20, 20], [45, 30], [70, 20]]) {
      const n = (await board(id)).hardscape.length
      await page.mouse.click(...(await spot(page, x, y)))
      await until(id, 'a stone more', (b) => b.hardscape.length === n + 1)
    }
    await page.reload()
    const undo = page.getByRole('button', { name: /^Undo/ })
    for (let n = 2; n >= 0; n--) {
      await undo.click(wait)
      await until(id, 'a stone less', (b) => b.hardscape.length === n)
      await settled(page)
    }
    assert.equal((await board(id)).text, first)
    await context.close()
  })

  test('tells the second window, and loses nothing', async () => {
    const id = await tank(bare('Two windows'))
    const a = await open(id)
    const b = await open(id, { context: a.context })
    await a.page.bringToFront()
    await a.page.getByRole('button', { name: 'Stone and wood', exact: true }).click()
    await a.page.mouse.click(...(await spot(a.page, 20, 20)))
    await until(id, 'the first window’s stone', (x) => x.hardscape.length === 1)
    await b.page.bringToFront()
    await b.page.getByText('Another window has changed this plan.').waitFor(wait)
    // Both at once: a window that has not heard yet lays its change on top.
    const c = await open(id, { width: 1440 }) // of another browser: no word passes between them
    await c.page.getByRole('button', { name: 'Stone and wood', exact: true }).click()
    await a.page.bringToFront()
    await a.page.mouse.click(...(await spot(a.page, 45, 20)))
    await until(id, 'two stones', (x) => x.hardscape.length === 2)
    await c.page.bringToFront()
    await c.page.mouse.click(...(await spot(c.page, 70, 20)))
    await until(id, 'three stones', (x) => x.hardscape.length === 3)
    await c.page.getByRole('alert').filter({ hasText: 'Another window' }).waitFor(wait)
    await a.context.close()
    await c.context.close()
  })

  test('keeps text and drawing in step, with problems at their line', async () => {
    const id = await tank(bare('In step'))
    const { context, page, heard } = await open(id)
    await page.getByRole('button', { name: 'Text beside it' }).click()
    const editor = page.getByRole('textbox', { name: 'Text of the plan' })
    await editor.waitFor(wait)
    await page.getByRole('button', { name: 'Stone and wood', exact: true }).click()
    await page.mouse.click(...(await spot(page, 20, 20)))
    await editor.getByText('boulder').first().waitFor(wait)
    await editor.click()
    await page.keyboard.press('Control+End')
    await page.keyboard.type('planted: "2027-13-01"')
    await page.locator('.problems li').first().waitFor(wait)
    assert.match(await page.locator('.problems').innerText(), /Line \d+/)
    for (let n = 0; n < 'planted: "2027-13-01"'.length; n++) await page.keyboard.press('Backspace')
    await page.keyboard.type('planted: "2027-03-01"')
    await until(id, 'typed text', (b) => /planted: "2027-03-01"/.test(b.text) && b.hardscape.length === 1)
    await page.getByText('Text and drawing say the same.').waitFor(wait)
    await accessible(page, 'text beside the drawing')
    assert.deepEqual(heard.outside, [])
    await context.close()
  })

  for (const [width, height] of widths) {
    for (const scheme of ['light', 'dark']) {
      test(`is read at ${width} pixels, ${scheme}`, async () => {
        const demo = await (await fetch(`${server.url}/api/tanks`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify({ demo: 'reading-desk' }) })).json()
        const { context, page, heard } = await open(demo.id, { width, height, scheme })
        await page.waitForTimeout(800)
        await fits(page, 'the board')
        await accessible(page, 'the board')
        assert.deepEqual(heard, { messages: [], outside: [] })
        await context.close()
      })
    }
  }

  test('holds two thousand plantings', async () => {
    const lines = []
    for (let n = 0; n < 2000; n++) lines.push(`  - {id: p${n}, species: ${['Cryptocoryne wendtii', 'Rotala rotundifolia', 'Vallisneria nana', 'Staurogyne repens'][n % 4]}, pots: 1, at: [[${(3 + (n % 80) * 4.9).toFixed(1)}, ${(3 + Math.floor(n / 80) * 4.5).toFixed(1)}]]}`)
    const id = await tank(bare('Many').replace('length: 90 cm, width: 45 cm', 'length: 400 cm, width: 120 cm').replace('heater: {power: 200 W', 'heater: {power: 2000 W') + `substrate: {layers: [{material: active soil, depth: 6 cm}]}\nplants:\n${lines.join('\n')}\n`)
    const context = await browser.newContext({ viewport: { width: 1440, height: 960 } })
    const page = await context.newPage()
    await page.goto(`${server.url}/settings`)
    const from = Date.now()
    await page.goto(`${server.url}/tanks/${id}/layout`)
    await page.waitForFunction(() => Number(document.querySelector('.live')?.dataset.frames ?? 0) > 0, null, wait)
    const load = Date.now() - from
    await page.waitForTimeout(3000)
    const b = await board(id)
    assert.equal(b.plants.length, 2000)
    const at = b.plants[1030].at_cm ?? b.plants[1030].places_cm[0]
    const cdp = await context.newCDPSession(page)
    const events = []
    cdp.on('Tracing.dataCollected', (e) => events.push(...e.value))
    const done = new Promise((r) => cdp.on('Tracing.tracingComplete', r))
    const p = await spot(page, at[0], at[1])
    await page.mouse.move(...p)
    await page.mouse.down()
    await cdp.send('Tracing.start', { categories: 'devtools.timeline,disabled-by-default-devtools.timeline', transferMode: 'ReportEvents' })
    for (let k = 1; k <= 60; k++) {
      await page.mouse.move(p[0] + k * 2, p[1] - k)
      await page.waitForTimeout(16)
    }
    await cdp.send('Tracing.end')
    await done
    await page.mouse.up()
    const frames = perFrame(events)
    console.log(`two thousand plantings: on the screen after ${load} ms; ${frames.length} frames of a drag, script at most ${Math.max(...frames).toFixed(1)} ms, in the middle ${frames[Math.floor(frames.length / 2)].toFixed(1)} ms`)
    await until(id, 'a plant dragged among two thousand', (x) => Math.abs(x.plants[1030].places_cm[0][0] - at[0]) > 1)
    await context.close()
  })
})

// Script between one frame and the next, ms of the thread's own time, sorted: what the page does in handlers, timers and drawing.
function perFrame(events) {
  const own = new Set(['FunctionCall', 'EvaluateScript', 'FireAnimationFrame', 'TimerFire', 'EventDispatch', 'V8.GC_SCAVENGER'])
  const thread = events.filter((e) => e.name === 'FireAnimationFrame').map((e) => e.tid)[0]
  const runs = events.filter((e) => e.tid === thread && own.has(e.name) && e.dur).sort((a, b) => a.ts - b.ts)
  const frames = []
  let sum = 0
  let end = 0
  for (const e of runs) {
    if (e.ts >= end) {
      sum += (e.tdur ?? e.dur) / 1000
      end = e.ts + e.dur
      if (e.name === 'FireAnimationFrame') {
        frames.push(sum)
        sum = 0
      }
    }
  }
  return frames.sort((a, b) => a - b)
}
