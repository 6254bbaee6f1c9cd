// What an earlier version of the program forecast stays on the shelf and on its pages, and is made again without anybody asking.
import { after, before, test } from 'node:test'
import assert from 'node:assert/strict'
import { appendFileSync, copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { accessible, fits, launch, listen, root, serve, stop } from './house.mjs'

const wait = { timeout: 180_000 }
let data, server, browser
before(async () => {
  data = mkdtempSync(join(tmpdir(), 'littoral-older-'))
  browser = await launch()
})
after(async () => {
  await browser?.close()
  if (server) await stop(server)
  if (data) rmSync(data, { recursive: true, force: true })
})

test('a forecast of an earlier version is shown, marked, and made again', wait, async () => {
  const earlier = join(data, 'earlier')
  copyFileSync(join(root, 'bin', 'littoral'), earlier)
  appendFileSync(earlier, 'another program\n')
  const tanks = join(data, 'tanks')
  server = await serve(tanks, { program: earlier, more: ['--demo', 'reading-desk'] })
  await stop(server)
  server = await serve(tanks)

  const page = await (await browser.newContext({ viewport: { width: 1440, height: 960 } })).newPage()
  const heard = listen(page, server.url)
  await page.goto(server.url)
  await page.getByText(/Made by an earlier version/).waitFor()
  await page.waitForFunction(() => document.querySelector('.cards img')?.naturalWidth > 0, null, wait)
  await page.getByRole('link', { name: /Reading desk/ }).click()
  await page.locator('.older').waitFor()
  await page.getByRole('heading', { name: 'Over the years' }).waitFor() // charts are there
  assert.ok((await page.locator('article.note').count()) > 0, 'its findings are there')
  await page.locator('img.early').waitFor()
  await accessible(page, 'a tank with a forecast of an earlier version')
  await fits(page, 'a tank with a forecast of an earlier version')
  // It is made again, and the page goes over to the new one by itself.
  await page.locator('.older').waitFor({ state: 'detached', timeout: 120_000 })
  await page.locator('.stand').first().waitFor()
  assert.deepEqual(heard.messages.filter((m) => !/GPU stall|GL Driver/.test(m)), [])
  assert.deepEqual(heard.outside, [])
})
