// The report in a real browser, opened from disk as a client opens it: no network, no script noise, no sideways scrolling at the width of
// a phone, a tablet and a desk, every picture named, and a clean print.
import { test, before, after, describe } from 'node:test'
import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, existsSync, readFileSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { delimiter, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { chromium } from 'playwright-core'
import axe from 'axe-core'

const root = fileURLToPath(new URL('..', import.meta.url))

// browserPath finds the browser that scripts/browser.sh made sure of.
function browserPath() {
  for (const name of [process.env.CHROMIUM, 'chromium', 'chromium-browser', 'google-chrome'].filter(Boolean)) {
    for (const folder of name.includes('/') ? [''] : process.env.PATH.split(delimiter)) {
      const file = folder ? join(folder, name) : name
      if (existsSync(file)) return file
    }
  }
  throw new Error('no Chromium found: run scripts/browser.sh, or set CHROMIUM to its path')
}

describe('the report of reading-desk', () => {
  let out, browser

  before(async () => {
    out = mkdtempSync(join(tmpdir(), 'littoral-report-'))
    execFileSync(join(root, 'bin', 'littoral'), ['forecast', join(root, 'examples', 'reading-desk', 'plan.yaml'), '--out', out, '--days', '120'], { stdio: 'pipe' })
    browser = await chromium.launch({
      executablePath: browserPath(),
      args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
    })
  })

  after(async () => {
    await browser?.close()
    if (out) rmSync(out, { recursive: true, force: true })
  })

  // open shows the report at a width and keeps what it asked the network for and what it said to the console.
  async function open(width) {
    const context = await browser.newContext({ viewport: { width, height: 900 } })
    const page = await context.newPage()
    const heard = { requests: [], messages: [] }
    page.on('request', (r) => heard.requests.push(r.url()))
    page.on('console', (m) => heard.messages.push(`${m.type()}: ${m.text()}`))
    page.on('pageerror', (e) => heard.messages.push(`error: ${e.message}`))
    await page.goto(pathToFileURL(join(out, 'report.html')).href, { waitUntil: 'load' })
    await page.evaluate(() => document.fonts.ready.then(() => true))
    return { context, page, heard }
  }

  for (const width of [390, 820, 1440]) {
    test(`reads at ${width} pixels`, async () => {
      const { context, page, heard } = await open(width)
      const outside = heard.requests.filter((u) => !u.startsWith('data:') && u !== page.url())
      assert.deepEqual(outside, [], 'the report asks for nothing outside itself')
      assert.deepEqual(heard.messages, [], 'the console stays silent')
      const [content, view] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth])
      assert.ok(content <= view, `the page is ${content} pixels wide in a window of ${view}`)
      await context.close()
    })
  }

  test('has a language, one title, headings in order, and figures', async () => {
    const { context, page } = await open(1440)
    assert.match(await page.title(), /Reading desk/)
    assert.equal(await page.locator('html').getAttribute('lang'), 'en')
    assert.equal(await page.locator('h1').count(), 1)
    const levels = await page.locator('h1,h2,h3,h4').evaluateAll((all) => all.map((h) => Number(h.tagName[1])))
    levels.slice(1).forEach((level, i) => assert.ok(level <= levels[i] + 1, `a heading of level ${level} follows one of level ${levels[i]}`))
    assert.ok(levels.length >= 6, `only ${levels.length} headings`)
    const figures = page.locator('figure')
    assert.ok((await figures.count()) >= 6, 'plan, light map, views and charts are figures')
    for (const caption of await figures.locator('figcaption').allInnerTexts()) assert.ok(caption.trim().length > 10, `a caption says too little: "${caption}"`)
    await context.close()
  })

  test('names every picture', async () => {
    const { context, page } = await open(1440)
    const nameless = await page.locator('img, svg').evaluateAll((all) =>
      all
        .filter((e) => e.getAttribute('aria-hidden') !== 'true' && !e.parentElement.closest('svg'))
        .filter((e) => !(e.getAttribute('alt') || e.getAttribute('aria-label') || e.getAttribute('aria-labelledby') || e.querySelector(':scope > title')?.textContent))
        .map((e) => e.outerHTML.slice(0, 120)),
    )
    assert.deepEqual(nameless, [])
    await context.close()
  })

  test('shows its pictures', async () => {
    const { context, page } = await open(1440)
    const empty = await page.locator('figure svg, figure img').evaluateAll((all) =>
      all.filter((e) => e.getBoundingClientRect().width < 20 || e.getBoundingClientRect().height < 20).map((e) => e.outerHTML.slice(0, 120)),
    )
    assert.deepEqual(empty, [])
    await context.close()
  })

  test('passes the accessibility rules for contrast, names and structure', async () => {
    const { context, page } = await open(1440)
    await page.evaluate(axe.source)
    const found = await page.evaluate(() => window.axe.run(document, { runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa'] } }))
    const told = found.violations.map((v) => `${v.id}: ${v.help} (${v.nodes.length}, first ${v.nodes[0].html.slice(0, 160)})`)
    assert.deepEqual(told, [])
    await context.close()
  })

  test('prints', async () => {
    const { context, page } = await open(1440)
    const pdf = await page.pdf({ format: 'A4', printBackground: true })
    assert.equal(pdf.subarray(0, 5).toString(), '%PDF-')
    assert.ok(pdf.length > 20_000, `the print has only ${pdf.length} bytes`)
    await page.emulateMedia({ media: 'print' })
    await page.setViewportSize({ width: 794, height: 1123 }) // A4 at 96 dpi
    const [content, view] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth])
    assert.ok(content <= view, `on paper the page is ${content} pixels wide for a sheet of ${view}`)
    await context.close()
  })

  test('leaves files that other programs read', () => {
    const forecast = JSON.parse(readFileSync(join(out, 'forecast.json'), 'utf8'))
    assert.equal(typeof forecast, 'object')
    const series = readFileSync(join(out, 'series.csv'), 'utf8').trim().split('\n')
    assert.ok(series.length >= 121, `series.csv has ${series.length} lines for 120 days`)
    assert.ok(statSync(join(out, 'plants.csv')).size > 100)
    assert.ok(statSync(join(out, 'report.html')).size < 6_000_000, 'the report stays small enough to send by mail')
  })
})
