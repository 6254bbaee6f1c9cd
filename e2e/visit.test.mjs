// Visits, on the real program: written without a network and sent when there is one, with the server killed and started again between; two
// pages that write one visit; what is measured beside what was forecast; the whole story on one page.
import { after, before, describe, test } from 'node:test'
import assert from 'node:assert/strict'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { accessible, fits, launch, listen, root, serve, stop, widths } from './house.mjs'

const wait = { timeout: 180_000 }

describe('a visit', () => {
  let data, server, browser, id
  const api = async (path, body, method = body ? 'POST' : 'GET') => {
    const r = await fetch(server.url + path, { method, body: body && JSON.stringify(body), headers: body && { 'content-type': 'application/json' } })
    assert.ok(r.ok, `${method} ${path}: ${r.status}`)
    return r.json()
  }
  const journal = async () => (await api(`/api/tanks/${id}/journal?limit=500`)).entries

  before(async () => {
    data = mkdtempSync(join(tmpdir(), 'littoral-visit-'))
    server = await serve(data)
    browser = await launch()
    // The desk of the demo, planted nine weeks ago so that today lies in its forecast.
    const planted = new Date(Date.now() - 63 * 86_400_000).toISOString().slice(0, 10)
    const dir = join(root, 'examples', 'reading-desk')
    const plan = readFileSync(join(dir, 'plan.yaml'), 'utf8').replace(/^planted: .*$/m, `planted: "${planted}"`)
    const files = ['house.yaml', 'prices.csv'].map((name) => ({ name, data: readFileSync(join(dir, name)).toString('base64') }))
    id = (await api('/api/tanks', { plan, files })).id
    const { job } = await api(`/api/tanks/${id}/forecast`, { days: 200 })
    for (;;) {
      const { state, error } = await api(`/api/jobs/${job}`)
      if (state === 'done') break
      assert.ok(state === 'waiting' || state === 'running', error)
      await new Promise((r) => setTimeout(r, 200))
    }
  })
  after(async () => {
    await browser?.close()
    if (server) await stop(server)
    if (data) rmSync(data, { recursive: true, force: true })
  })

  test('is written without a network and sent once when the server is back', async () => {
    const context = await browser.newContext({ viewport: { width: 834, height: 1112 } })
    const page = await context.newPage()
    await page.goto(`${server.url}/tanks/${id}/care`)
    await page.evaluate(async () => void (await navigator.serviceWorker.ready))
    await page.reload() // from now on the pages come through the worker
    await page.getByRole('link', { name: 'Begin a visit' }).waitFor(wait)
    await page.waitForFunction(async () => (await (await caches.open('littoral-data')).keys()).some((k) => k.url.includes('/visit?date=')), null, wait)

    const { port } = server
    await stop(server, 'SIGKILL')
    await page.getByRole('link', { name: 'Begin a visit' }).click()
    await page.getByRole('heading', { name: /Visit:/ }).waitFor(wait)
    await page.getByRole('button', { name: 'Nitrate', exact: true }).click()
    await page.getByLabel('Nitrate, value').fill('60')
    await page.getByLabel('Other work done').selectOption('water-change')
    await page.getByLabel('Water changed, litres').fill('25')
    await page.getByLabel('Time on site').fill('40')
    await page.getByLabel('Notes').fill('Written by the tank, <i>no</i> network.')
    await page.locator('input[type=file]').first().setInputFiles(join(root, 'ui', 'public', 'mark-192.png'))
    await page.getByText(/There is no way to the server now/).waitFor(wait)
    const address = page.url()

    // The page is closed and opened again, still without a server: everything is there.
    await page.reload()
    await page.getByLabel('Notes').waitFor(wait)
    assert.equal(await page.getByLabel('Notes').inputValue(), 'Written by the tank, <i>no</i> network.')
    assert.equal(await page.getByLabel('Nitrate, value').inputValue(), '60')
    assert.equal(page.url(), address)
    await page.screenshot({ path: join(tmpdir(), 'littoral-visit-offline.png') })

    server = await serve(data, { port })
    assert.equal((await journal()).length, 0)
    await page.evaluate(() => dispatchEvent(new Event('online')))
    await page.getByText('Kept by the server.').waitFor(wait)
    const kept = await journal()
    assert.deepEqual(kept.map((e) => e.entry.kind).sort(), ['photo', 'task', 'test', 'visit'])
    assert.equal(kept.find((e) => e.entry.kind === 'visit').entry.text, 'Written by the tank, <i>no</i> network.')
    assert.equal(kept.find((e) => e.entry.kind === 'task').entry.task.litres, 25)
    assert.equal(kept.find((e) => e.entry.kind === 'test').entry.test.change, 'before')
    assert.equal((await api(`/api/tanks/${id}/photos`)).photos.length, 1)

    // Sent again by anyone, nothing doubles.
    await page.reload()
    await page.evaluate(() => dispatchEvent(new Event('online')))
    await page.getByText('Kept by the server.').waitFor(wait)
    assert.equal((await journal()).length, 4)
    await context.close()
  })

  test('that two pages write at once is decided by a person', async () => {
    const context = await browser.newContext({ viewport: { width: 1440, height: 960 } })
    const visit = crypto.randomUUID()
    const at = `${new Date().toISOString().slice(0, 10)}T10:00`
    await api(`/api/tanks/${id}/journal`, { entries: [{ base: 0, entry: { id: visit, at, kind: 'visit', text: 'First words.', visit: { minutes: 10 } } }] })
    const [a, b] = [await context.newPage(), await context.newPage()]
    for (const p of [a, b]) {
      await p.goto(`${server.url}/tanks/${id}/visit/${visit}`)
      await p.getByLabel('Notes').waitFor(wait)
      assert.equal(await p.getByLabel('Notes').inputValue(), 'First words.')
    }
    await a.getByLabel('Notes').fill('From the first page.')
    await a.getByText('Kept by the server.').waitFor(wait)
    await b.getByLabel('Notes').fill('From the second page.')
    await b.getByRole('heading', { name: 'Two texts of one visit' }).waitFor(wait)
    const clash = b.locator('.clash')
    assert.match(await clash.innerText(), /From the first page\./)
    assert.match(await clash.innerText(), /From the second page\./)
    await accessible(b, 'a conflict')
    const now = async () => (await journal()).find((e) => e.entry.id === visit).entry.text
    assert.equal(await now(), 'From the first page.', 'nothing is written over before a person decides')
    const c = await context.newPage()
    await c.goto(`${server.url}/tanks/${id}/care`)
    await c.getByText('Entries that two people changed at once: 1.').waitFor(wait)
    await c.close()
    await clash.getByRole('button', { name: 'Keep mine' }).click()
    await b.getByText('Kept by the server.').waitFor(wait)
    assert.equal(await now(), 'From the second page.')
    const versions = (await api(`/api/tanks/${id}/journal/${visit}`)).versions
    assert.ok(versions.some((v) => v.entry.text === 'From the first page.'), 'the other text stays in the history')
    await context.close()
  })

  test('shows what was measured beside the forecast, and the story on one page', async () => {
    const context = await browser.newContext({ viewport: { width: 1440, height: 960 } })
    const page = await context.newPage()
    const heard = listen(page, server.url)
    const day = (n) => new Date(Date.now() - n * 86_400_000).toISOString().slice(0, 10)
    const csv = `date,nitrate mg/L,kh dKH\n${day(21)},60,9\n${day(14)},60,9\n${day(7)},60,9\n`
    await page.goto(`${server.url}/tanks/${id}/care`)
    await page.locator('input[type=file]').setInputFiles({ name: 'tests.csv', mimeType: 'text/csv', buffer: Buffer.from(csv) })
    await page.getByText(/3 tests taken/).waitFor(wait)
    await page.getByText(/Nitrate runs .* over forecast/).waitFor(wait)
    await accessible(page, 'care')
    await page.goto(`${server.url}/tanks/${id}/journal`)
    await page.getByRole('heading', { name: /The story of/ }).waitFor(wait)
    await page.getByText(/Written by the tank, <i>no<\/i> network/).waitFor(wait)
    await page.getByText(/Nitrate runs .* over forecast/).first().waitFor(wait)
    assert.ok(await page.locator('.photos img').count())
    await accessible(page, 'the story')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  for (const [width, height] of widths)
    test(`light, water, care, visit and story read at ${width} pixels`, async () => {
      for (const scheme of ['light', 'dark']) {
        const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme })
        const page = await context.newPage()
        const heard = listen(page, server.url)
        for (const leaf of ['light?day=56', 'water?day=56', 'care', `visit/${crypto.randomUUID()}`, 'journal']) {
          await page.goto(`${server.url}/tanks/${id}/${leaf}`)
          await page.locator('main h1').first().waitFor(wait)
          if (leaf.startsWith('light')) await page.locator('.map').first().waitFor(wait)
          await page.waitForTimeout(300)
          await fits(page, leaf)
          await accessible(page, `${leaf} at ${width}, ${scheme}`)
        }
        assert.deepEqual(heard, { messages: [], outside: [] })
        await context.close()
      }
    })
})
