// What is written beside the tank, on the real program, when it does not go smoothly: refused by the server, written wrongly, a day late.
import { after, before, describe, test } from 'node:test'
import assert from 'node:assert/strict'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { accessible, desk, fits, launch, serve, stop } from './house.mjs'

const wait = { timeout: 60_000 }
const long = { timeout: 180_000 }

describe('what is written', () => {
  let data, server, browser, id
  const journal = async () => (await (await fetch(`${server.url}/api/tanks/${id}/journal?limit=500`)).json()).entries
  const open = async (path, width = 834) => {
    const context = await browser.newContext({ viewport: { width, height: 1112 } })
    const page = await context.newPage()
    await page.goto(server.url + path)
    return page
  }
  before(async () => {
    data = mkdtempSync(join(tmpdir(), 'littoral-written-'))
    server = await serve(data)
    browser = await launch()
    id = await desk(server, 57) // its visit of day 56 was due yesterday
  })
  after(async () => {
    await browser?.close()
    if (server) await stop(server)
    if (data) rmSync(data, { recursive: true, force: true })
  })

  test('and refused is told everywhere with the reason, kept, and mended', long, async () => {
    const page = await open(`/tanks/${id}/visit/${crypto.randomUUID()}`)
    await page.getByRole('button', { name: 'pH', exact: true }).click()
    await page.getByLabel('pH, value').fill('68')
    await page.getByText(/The server refused something of this visit/).waitFor(wait)
    await page.getByText(/pH 68 is no reading of a tank; it lies between 2 and 12/).waitFor(wait)
    await accessible(page, 'a visit with something refused')
    // Elsewhere it is told too, and leads back.
    await page.goto(`${server.url}/`)
    await page.getByRole('link', { name: '1 refused by the server' }).click()
    await page.getByRole('heading', { name: 'Refused by the server' }).waitFor(wait)
    await page.getByText(/it lies between 2 and 12/).waitFor(wait)
    for (const width of [390, 1440]) {
      await page.setViewportSize({ width, height: 900 })
      await fits(page, `the outbox at ${width}`)
    }
    await accessible(page, 'the outbox')
    await page.screenshot({ path: join(tmpdir(), 'littoral-refused.png') })
    assert.equal((await journal()).length, 0)
    await page.getByRole('link', { name: 'Open the visit' }).click()
    await page.getByLabel('pH, value').fill('6.8')
    await page.getByText('Kept by the server.').waitFor(wait)
    assert.equal(await page.getByText(/Refused by the server/).count(), 0)
    assert.equal((await journal())[0].entry.test.readings[0].value, 6.8)
    await page.context().close()
  })

  test('and refused can be let go', long, async () => {
    const before = (await journal()).length
    const page = await open(`/tanks/${id}/visit/${crypto.randomUUID()}`)
    await page.getByRole('button', { name: 'pH', exact: true }).click()
    await page.getByLabel('pH, value').fill('99')
    await page.getByText(/it lies between 2 and 12/).waitFor(wait)
    await page.getByRole('button', { name: 'Let it go', exact: true }).click()
    await page.getByRole('button', { name: 'Yes, let it go for good' }).click()
    await page.getByText('Nothing written yet.').waitFor(wait)
    assert.equal(await page.getByLabel('pH, value').count(), 0)
    await page.goto(`${server.url}/outbox`)
    await page.getByText('The server has everything.').waitFor(wait)
    assert.equal((await journal()).length, before)
    await page.context().close()
  })

  test('and refused photos are kept with their picture, and no entry names them meanwhile', long, async () => {
    const before = (await journal()).length
    const page = await open(`/tanks/${id}/visit/${crypto.randomUUID()}`)
    await page.getByLabel('Notes').waitFor(wait)
    // A browser reads BMP; the server does not take photos so. One pixel: a header of 14 and of 40 bytes, and its row.
    const bmp = Buffer.alloc(58)
    bmp.write('BM')
    ;[[2, 58], [10, 54], [14, 40], [18, 1], [22, 1], [34, 4]].forEach(([at, v]) => bmp.writeUInt32LE(v, at))
    bmp.writeUInt16LE(1, 26)
    bmp.writeUInt16LE(24, 28)
    await page.locator('.photo input[type=file]').first().setInputFiles({ name: 'tank.bmp', mimeType: 'image/bmp', buffer: bmp })
    await page.locator('.refusals img').waitFor(wait)
    await page.waitForTimeout(1500)
    assert.equal((await journal()).length, before, 'no entry names a photo that the server does not have')
    await page.getByRole('button', { name: 'Let it go', exact: true }).click()
    await page.getByRole('button', { name: 'Yes, let it go for good' }).click()
    await page.getByText('Nothing written yet.').waitFor(wait)
    await page.context().close()
  })

  test('and taken back is struck out, and can be counted again', long, async () => {
    const visit = crypto.randomUUID()
    const page = await open(`/tanks/${id}/visit/${visit}`)
    await page.getByRole('button', { name: 'Phosphate', exact: true }).click()
    await page.getByLabel('Phosphate, value').fill('1.5')
    await page.getByText('Kept by the server.').waitFor(wait)
    const mine = async () => (await journal()).filter((e) => e.entry.id.startsWith(visit))
    assert.equal((await mine())[0].entry.test.readings[0].value, 1.5)
    await page.getByRole('button', { name: 'Remove Phosphate' }).click()
    for (let i = 0; i < 100 && !(await mine())[0].entry.struck; i++) await page.waitForTimeout(100)
    assert.equal((await mine())[0].entry.struck, true)

    await page.goto(`${server.url}/tanks/${id}/journal`)
    await page.getByText('1 entry struck out').click()
    await page.getByRole('button', { name: 'Count it again' }).click()
    // What is changed again before it was sent goes as one; here each change is a version of its own.
    for (let i = 0; i < 100 && (await mine())[0].entry.struck; i++) await page.waitForTimeout(100)
    await page.getByRole('button', { name: /Change ?: Phosphate/ }).click()
    await page.getByRole('spinbutton').fill('0.15')
    await accessible(page, 'a test being changed')
    await page.getByRole('button', { name: 'Save' }).click()
    for (let i = 0; i < 100 && (await mine())[0].entry.test.readings[0].value !== 0.15; i++) await page.waitForTimeout(100)
    const now = (await mine())[0].entry
    assert.equal(now.struck ?? false, false)
    assert.equal(now.test.readings[0].value, 0.15)
    const versions = (await (await fetch(`${server.url}/api/tanks/${id}/journal/${now.id}`)).json()).versions
    assert.deepEqual(versions.map((v) => v.entry.test.readings[0].value), [1.5, 1.5, 1.5, 0.15], 'nothing that was written is lost')
    await page.getByRole('button', { name: /Strike out ?: Phosphate/ }).click()
    await page.getByText('1 entry struck out').waitFor(wait)
    await fits(page, 'the story')
    await page.context().close()
  })

  test("a day late offers yesterday's work, once", long, async () => {
    const visit = crypto.randomUUID()
    const page = await open(`/tanks/${id}/visit/${visit}`)
    await page.getByRole('heading', { name: /Not written down:/ }).waitFor(wait)
    await page.getByRole('button', { name: 'Write it down with this visit' }).click()
    assert.equal(await page.getByRole('heading', { name: /Not written down:/ }).count(), 0)
    await page.getByRole('button', { name: '✓ Done' }).first().click()
    await page.getByText('Kept by the server.').waitFor(wait)
    const task = (await journal()).find((e) => e.entry.id.startsWith(visit)).entry
    assert.equal(task.task.day, 56)
    assert.equal(task.at.slice(0, 10), new Date(Date.now() - new Date().getTimezoneOffset() * 60_000).toISOString().slice(0, 10))
    await page.reload()
    await page.getByLabel('Notes').waitFor(wait)
    assert.equal(await page.getByRole('button', { name: '✓ Done', pressed: true }).count(), 1)
    await page.context().close()
  })
})
