// The pages that the program serves, on the real program: the first run to a demo's third year, the ruler, variants, findings; readable,
// accessible and silent at the widths of a phone, a tablet and a desk, by day and in the dark.
import { after, before, describe, test } from 'node:test'
import assert from 'node:assert/strict'
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { accessible, fits, launch, listen, root, serve, stop, widths } from './house.mjs'

const wait = { timeout: 180_000 } // a loaded machine forecasts slowly; nothing here is a promise of speed

describe('the pages', () => {
  let data, server, browser
  before(async () => {
    data = mkdtempSync(join(tmpdir(), 'littoral-pages-'))
    server = await serve(data)
    browser = await launch()
  })
  after(async () => {
    await browser?.close()
    if (server) await stop(server)
    if (data) rmSync(data, { recursive: true, force: true })
  })

  async function open(path, { width = 1440, height = 960, scheme = 'light', ...more } = {}) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme, ...more })
    const page = await context.newPage()
    const heard = listen(page, server.url)
    await page.goto(server.url + path)
    return { context, page, heard }
  }
  const tankOf = async (name) => {
    const { tanks } = await (await fetch(`${server.url}/api/tanks`)).json()
    return tanks.find((t) => t.name.includes(name))
  }

  test('lead from an empty shelf to the third year of a demo', async () => {
    const { context, page, heard } = await open('/')
    await page.getByRole('heading', { name: 'The shelf', level: 1 }).waitFor()
    await accessible(page, 'the empty shelf')
    await page.getByRole('button', { name: 'Put the demos on the shelf' }).click()
    await page.getByRole('link', { name: /Reading desk/ }).waitFor(wait)
    assert.equal(await page.locator('.cards > li').count(), 3)
    await accessible(page, 'the shelf')
    await page.getByPlaceholder('Search the shelf').fill('desk')
    assert.equal(await page.locator('.cards > li').count(), 1)
    await page.getByRole('link', { name: /Reading desk/ }).click()

    await page.getByRole('button', { name: 'Forecast three years' }).click()
    await page.getByRole('button', { name: 'Stop' }).click(wait) // at once: a small tank is soon forecast
    await page.getByText('Stopped. Nothing was changed.').waitFor(wait)
    await page.getByRole('button', { name: 'Forecast three years' }).click()

    const ruler = page.getByRole('slider', { name: /Time after planting/ })
    await ruler.waitFor(wait)
    await ruler.press('End')
    await page.getByRole('heading', { name: 'Three years after planting', level: 1 }).waitFor()
    await page.locator('.drawing').first().waitFor()
    await page.waitForURL(/day=1095/, wait) // the address follows when the ruler rests
    await page.waitForFunction(() => [...document.querySelectorAll('.drawing > div')].filter((d) => d.shadowRoot?.querySelector('svg')).length >= 2, null, wait)
    await accessible(page, 'grow-in')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  test('move the day by keys and by hand', async () => {
    const { id } = await tankOf('desk')
    const { context, page } = await open(`/tanks/${id}/grow?day=100`)
    const ruler = page.getByRole('slider', { name: /Time after planting/ })
    await ruler.waitFor(wait)
    const day = async () => Number(await ruler.getAttribute('aria-valuenow'))
    for (const [key, to] of [['ArrowRight', 101], ['Shift+ArrowRight', 108], ['PageUp', 138], ['ArrowLeft', 137], ['Home', 0]]) {
      await ruler.press(key)
      assert.equal(await day(), to, key)
    }
    const box = await ruler.boundingBox()
    await page.mouse.move(box.x + 20, box.y + 60)
    await page.mouse.down()
    await page.mouse.move(box.x + 14 + (box.width - 28) * 0.2, box.y + 60, { steps: 4 })
    await page.mouse.up()
    assert.ok(Math.abs((await day()) - 56) <= 1, `the first eight weeks end at a fifth, not at day ${await day()}`)
    await page.getByRole('heading', { name: 'Eight weeks after planting', level: 1 }).waitFor()
    await context.close()
  })

  test('turn the tank once it is up, and show the server’s picture before', async () => {
    const { id } = await tankOf('desk')
    const { context, page, heard } = await open(`/tanks/${id}/grow?day=0`, { width: 834, height: 1112 })
    await page.locator('.stand img').first().waitFor(wait)
    await page.waitForFunction(() => Number(document.querySelector('.stand canvas')?.dataset.frames ?? 0) > 0, null, wait)
    await page.getByRole('button', { name: 'turning', exact: true }).waitFor(wait)
    await page.getByRole('button', { name: 'corner' }).click()
    const frames = () => page.evaluate(() => Number(document.querySelector('.stand canvas').dataset.frames))
    const then = await frames()
    await page.locator('.stand canvas').press('ArrowRight')
    await page.waitForFunction((n) => Number(document.querySelector('.stand canvas').dataset.frames) > n, then, wait)
    await page.getByRole('button', { name: 'then and now' }).click()
    await page.getByRole('slider', { name: /drawn over planting day/ }).press('ArrowRight')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  test('tie a finding to its note, its ring and its time', async () => {
    const { id } = await tankOf('desk')
    const { context, page } = await open(`/tanks/${id}/grow?day=0`)
    const notes = page.locator('.note .choose')
    await notes.first().waitFor(wait)
    await page.locator('details.later > summary').click().catch(() => {})
    await notes.first().click()
    assert.equal(await notes.first().getAttribute('aria-pressed'), 'true')
    assert.ok(await page.locator('.ruler .pin.chosen').count(), 'its pin stands out on the ruler')
    await context.close()
  })

  test('lay a variant beside the plan in force and say what differs', async () => {
    const { id } = await tankOf('desk')
    const { context, page, heard } = await open(`/tanks/${id}/plan`)
    const text = page.getByLabel('Text of the plan')
    await text.waitFor(wait)
    await page.waitForFunction(() => document.querySelector('#plan-text').value.length > 500, null, wait)
    const old = await text.inputValue()
    await text.fill(old.replace(/hours: *(\d+) h/, 'hours: 6 h').concat('\n# another routine\n'))
    await page.getByLabel('Save as a variant called').fill('shorter light')
    await page.getByRole('button', { name: 'Make the variant' }).click()
    await page.getByRole('button', { name: 'shorter light' }).waitFor(wait)
    await accessible(page, 'the plan')
    await page.goto(`${server.url}/tanks/${id}/grow?day=300`)
    await page.getByLabel('Beside it').selectOption('shorter light', wait)
    await page.getByRole('heading', { name: 'What differs' }).waitFor(wait)
    await page.getByText(/lines of the plan differ/).waitFor(wait)
    await accessible(page, 'two variants')
    assert.deepEqual(heard.outside, [])
    await context.close()
  })

  test('say every problem of a plan with its line and cure, and keep nothing', async () => {
    const { context, page } = await open('/new?by=file')
    await page.getByLabel('or its text').fill('littoral: 1\nname: Odd\ntank:\n  shape: bxo\n')
    await page.getByRole('button', { name: 'Read the plan' }).click()
    await page.locator('.problems li').first().waitFor(wait)
    assert.match(await page.locator('.problems').innerText(), /Line 4/)
    await accessible(page, 'a plan with problems')
    await context.close()
  })

  test('start a tank from answers', async () => {
    const { context, page } = await open('/new')
    await page.getByLabel('What is the tank called?').fill('<b>Lobby</b> & co')
    await page.getByLabel('Length').fill('90')
    await accessible(page, 'the questions')
    await page.getByRole('button', { name: 'Write the plan' }).click()
    await page.getByRole('button', { name: 'Forecast three years' }).waitFor(wait)
    assert.match(await page.locator('h1').innerText(), /<b>Lobby<\/b> & co/, 'a name is text, whatever it looks like')
    await context.close()
  })

  for (const [width, height] of widths) {
    for (const scheme of ['light', 'dark']) {
      test(`read at ${width} pixels, ${scheme}`, async () => {
        const { id } = await tankOf('desk')
        const { context, page, heard } = await open('/', { width, height, scheme })
        for (const path of ['/', '/new', '/settings', `/tanks/${id}/grow?day=364`, `/tanks/${id}/plan`]) {
          await page.goto(server.url + path)
          await page.locator('h1').first().waitFor(wait)
          await page.waitForTimeout(600)
          await fits(page, path)
          await accessible(page, path)
        }
        assert.deepEqual(heard, { messages: [], outside: [] })
        await context.close()
      })
    }
  }

  test('speak German and count in gallons', async () => {
    const { context, page } = await open('/settings')
    await page.getByLabel('Deutsch').check()
    await page.getByRole('heading', { name: 'Einstellungen' }).waitFor()
    await page.getByLabel('US').check()
    const { id } = await tankOf('desk')
    await page.goto(`${server.url}/tanks/${id}/grow?day=365`)
    await page.getByRole('heading', { name: 'Ein Jahr nach dem Bepflanzen' }).waitFor(wait)
    assert.match(await page.locator('.sub').innerText(), /gal/)
    assert.equal(await page.locator('html').getAttribute('lang'), 'de')
    await context.close()
  })

  test('print without the parts that only a screen needs', async () => {
    const { id } = await tankOf('desk')
    const { context, page } = await open(`/tanks/${id}/grow?day=364`)
    await page.getByRole('slider', { name: /Time after planting/ }).waitFor(wait)
    await page.emulateMedia({ media: 'print' })
    assert.equal(await page.locator('nav').isVisible(), false)
    assert.equal(await page.locator('.ruler').isVisible(), false)
    assert.equal(await page.locator('h1').isVisible(), true)
    await context.close()
  })
})

test('the first script of the pages is under 400 kB packed, without the turning tank', () => {
  const dir = join(root, 'internal', 'web', 'dist', 'assets')
  const files = readdirSync(dir).filter((f) => f.endsWith('.js'))
  assert.ok(files.some((f) => f.startsWith('stage-')), 'the turning tank is a part of its own')
  const bytes = files.filter((f) => !f.startsWith('stage-')).reduce((n, f) => n + gzipSync(readFileSync(join(dir, f))).length, 0)
  assert.ok(bytes < 400_000, `${bytes} bytes`)
})
