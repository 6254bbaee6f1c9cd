// What the pages do on request, on the real program: members with their bands, cures where a program can apply one, photos lined up with the last
// one from the same mark, the shelf's house file, pages on paper, the pages as an installed program.
import { after, before, describe, test } from 'node:test'
import assert from 'node:assert/strict'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { accessible, desk, fits, launch, listen, root, serve, stop } from './house.mjs'

const wait = { timeout: 90_000 }
const long = { timeout: 240_000 }

describe('on request', () => {
  let data, server, browser, id
  const open = async (path, width = 1440) => {
    const context = await browser.newContext({ viewport: { width, height: 960 } })
    const page = await context.newPage()
    const heard = listen(page, server.url)
    await page.goto(server.url + path)
    return { page, heard, close: () => context.close() }
  }
  before(async () => {
    data = mkdtempSync(join(tmpdir(), 'littoral-desk-'))
    server = await serve(data)
    browser = await launch(['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream'])
    id = await desk(server, 30, 60)
  })
  after(async () => {
    await browser?.close()
    if (server) await stop(server)
    if (data) rmSync(data, { recursive: true, force: true })
  })

  test('members are run, and their bands are told over the charts', long, async () => {
    const { page, heard, close } = await open(`/tanks/${id}/grow`)
    await page.getByRole('button', { name: 'Run again, export' }).or(page.getByRole('button', { name: /export/i })).first().click(wait)
    await page.getByRole('button', { name: /Run them|Run members|members/i }).last().click(wait)
    await page.getByText(/10 members|of 10/i).first().waitFor({ timeout: 200_000 })
    const key = (await (await fetch(`${server.url}/api/tanks/${id}`)).json()).forecast
    assert.equal((await (await fetch(`${server.url}/api/forecasts/${key}/bands`)).json()).members, 10)
    await accessible(page, 'charts with bands')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await close()
  })

  test('a cure is offered where a program can apply it, and nowhere else', long, async () => {
    const key = (await (await fetch(`${server.url}/api/tanks/${id}`)).json()).forecast
    const { outcome } = await (await fetch(`${server.url}/api/forecasts/${key}`)).json()
    const can = outcome.findings.filter((f) => f.can_try)
    assert.ok(outcome.findings.some((f) => !f.can_try && f.do), 'some cures are for hands only')
    const { page, close } = await open(`/tanks/${id}/grow`)
    await page.locator('article.note').first().waitFor(wait)
    for (const d of await page.locator('details.later:not([open]) > summary').all()) await d.click()
    for (const f of outcome.findings) {
      const note = page.locator(`article#finding-${f.number}`)
      if (await note.count()) assert.equal((await note.getByRole('button', { name: /Try this cure/ }).count()) > 0, f.can_try, f.what)
    }
    const first = page.getByRole('button', { name: /Try this cure/ }).first()
    if (can.length && (await first.count())) {
      await first.click()
      await page.locator('.tried').first().waitFor({ timeout: 200_000 })
    }
    await close()
  })

  test('a photo is lined up with the last one from the same mark', long, async () => {
    const photo = readFileSync(join(root, 'ui', 'public', 'mark-192.png'))
    const sent = await fetch(`${server.url}/api/tanks/${id}/photos?${new URLSearchParams({ id: crypto.randomUUID(), at: '2026-01-01T10:00', mark: 'front' })}`, { method: 'POST', body: photo, headers: { 'content-type': 'image/png' } })
    assert.ok(sent.ok, String(sent.status))
    const { page, heard, close } = await open(`/tanks/${id}/visit/${crypto.randomUUID()}`, 834)
    await page.getByRole('button', { name: 'Line up with the camera' }).or(page.getByRole('button', { name: /camera|line up/i })).first().click(wait)
    await page.waitForFunction(() => document.querySelector('video')?.videoWidth > 0, null, wait)
    const over = page.locator('.photo img.over')
    assert.equal(await over.evaluate((i) => getComputedStyle(i).opacity), '0.5', 'the last photo lies half through over the new view')
    await page.locator('.photo input[type=range]').fill('20')
    assert.equal(await over.evaluate((i) => getComputedStyle(i).opacity), '0.2')
    await accessible(page, 'the camera')
    await page.screenshot({ path: join(tmpdir(), 'littoral-camera.png') })
    await page.locator('.photo button.strong').click()
    await page.getByText('Kept by the server.').waitFor(wait)
    const photos = (await (await fetch(`${server.url}/api/tanks/${id}/photos`)).json()).photos
    assert.equal(photos.length, 2)
    assert.ok(photos.every((p) => p.mark === 'front'))
    assert.deepEqual(heard, { messages: [], outside: [] })
    await close()
  })

  test('the house file is begun, refused at its lines, mended and saved', long, async () => {
    const { page, close } = await open('/settings', 834)
    await page.getByRole('button', { name: 'Begin from what the program has' }).click(wait)
    const text = page.getByLabel('House file')
    const usual = await text.inputValue()
    await text.fill(usual.replace('oxygen-min: 5 ', 'oxygen-min: lots '))
    await page.getByRole('button', { name: 'Save the house file' }).click()
    await page.locator('.problems li').first().waitFor(wait)
    await accessible(page, 'a house file with a problem')
    await page.locator('.problems button').first().click()
    assert.match(await text.evaluate((a) => a.value.slice(a.selectionStart, a.selectionEnd)), /lots|oxygen/)
    await text.fill(usual.replace('oxygen-min: 5 ', 'oxygen-min: 6 '))
    await page.getByRole('button', { name: 'Save the house file' }).click()
    await page.getByText(/Saved\. Forecast your tanks again/).waitFor(wait)
    await page.reload()
    assert.match(await page.getByLabel('House file').inputValue(), /oxygen-min: 6/)
    for (const width of [390, 1440]) {
      await page.setViewportSize({ width, height: 900 })
      await fits(page, `settings at ${width}`)
    }
    await close()
  })

  test('pages print without what only a screen needs', long, async () => {
    const { page, close } = await open(`/tanks/${id}/care`, 794)
    await page.locator('.days').waitFor(wait)
    await page.emulateMedia({ media: 'print' })
    assert.equal(await page.locator('nav.spine').isVisible(), false)
    assert.ok(await page.locator('.days').isVisible())
    await fits(page, 'care on paper')
    const pdf = await page.pdf({ format: 'A4' })
    assert.ok(pdf.length > 5000)
    await close()
  })

  test('the pages can be installed and open without a server', long, async () => {
    const { page, close } = await open(`/tanks/${id}/care`, 834)
    const manifest = await (await fetch(new URL(await page.locator('link[rel=manifest]').getAttribute('href'), server.url))).json()
    assert.ok(manifest.name && manifest.start_url && manifest.display && manifest.icons.some((i) => /512/.test(i.sizes)) && manifest.icons.some((i) => /192/.test(i.sizes)))
    await page.evaluate(async () => void (await navigator.serviceWorker.ready))
    await page.reload()
    await page.locator('.days').waitFor(wait)
    await page.context().setOffline(true)
    await page.goto(`${server.url}${manifest.start_url}`)
    await page.getByRole('heading', { level: 1 }).waitFor(wait)
    await page.goto(`${server.url}/tanks/${id}/care`)
    await page.locator('.days').waitFor(wait)
    await page.context().setOffline(false)
    await close()
  })
})
