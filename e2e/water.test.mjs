// The Water page on the real program: each of its parts at the widths of a phone, a tablet and a desk, by keys and by hand.
import { after, before, describe, test } from 'node:test'
import assert from 'node:assert/strict'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { accessible, fits, launch, listen, serve, stop, widths } from './house.mjs'

const wait = { timeout: 180_000 }
const parts = ['The day', 'The years', 'Change water', 'Dosing', 'Start-up', 'Heat', 'Bench sums']

describe('the water page', () => {
  let data, server, browser, id
  before(async () => {
    data = mkdtempSync(join(tmpdir(), 'littoral-water-'))
    server = await serve(data, { more: ['--demo', 'quay-street-library'] })
    browser = await launch()
    id = (await (await fetch(`${server.url}/api/tanks`)).json()).tanks[0].id
  })
  after(async () => {
    await browser?.close()
    if (server) await stop(server)
    if (data) rmSync(data, { recursive: true, force: true })
  })
  async function open(query = '', { width = 1440, height = 960, scheme = 'light', ...more } = {}) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme, ...more })
    const page = await context.newPage()
    const heard = listen(page, server.url)
    await page.goto(`${server.url}/tanks/${id}/water${query}`)
    await page.getByRole('group', { name: 'What of the water' }).waitFor(wait)
    return { context, page, heard }
  }
  const turn = async (page, name) => {
    await page.getByRole('group', { name: 'What of the water' }).getByRole('button', { name, exact: true }).click(wait)
  }

  for (const [width, height] of widths) {
    for (const scheme of ['light', 'dark']) {
      test(`read at ${width} pixels, ${scheme}`, async () => {
        const { context, page, heard } = await open('?day=200', { width, height, scheme })
        await page.getByRole('img', { name: /^CO2\./ }).waitFor(wait)
        for (const name of parts) {
          await turn(page, name)
          await page.waitForTimeout(700)
          await fits(page, name)
          await accessible(page, name)
        }
        assert.deepEqual(heard, { messages: [], outside: [] })
        await context.close()
      })
    }
  }

  test('the hours follow the ruler, by keys', async () => {
    const { context, page } = await open('?day=200')
    const picture = page.getByRole('img', { name: /^CO2\./ })
    await picture.waitFor(wait)
    const then = await picture.getAttribute('aria-label')
    const ruler = page.getByRole('slider', { name: /Time after planting/ })
    await ruler.press('Home')
    await page.getByRole('heading', { name: 'Planting day: water' }).waitFor(wait)
    await page.waitForFunction((old) => document.querySelector('[role=img][aria-label^="CO2."]')?.getAttribute('aria-label') !== old, then, wait)
    await page.getByText('The hours as numbers').click()
    assert.equal(await page.getByRole('region', { name: 'The hours as numbers' }).locator('tbody tr').count(), 24)
    await context.close()
  })

  test('a recipe follows what is changed, says what cannot be met, and prints by itself', async () => {
    const { context, page, heard } = await open('?part=pour')
    const card = page.locator('.weigh .card')
    await card.waitFor(wait)
    await page.getByLabel('Volume').fill('200 L')
    await card.getByText(/200 L/).first().waitFor(wait)
    await page.getByLabel(/^GH/).fill('5-7')
    await page.getByLabel('Pure water, at most').fill('0 %')
    await card.getByText(/KH cannot be met: wanted 4/).waitFor(wait)
    await card.getByText(/tap brings more KH/).waitFor(wait)
    await page.getByLabel('Pure water, at most').fill('100 %')
    await page.getByLabel(/^MgSO4/).fill('0 g')
    await page.getByRole('button', { name: 'Remove KHCO3' }).focus()
    await page.keyboard.press('Enter')
    await page.waitForFunction(() => !document.querySelector('.weigh .card').innerText.includes('KHCO3'), null, wait)
    await accessible(page, 'a changed recipe')
    await page.evaluate(() => { document.documentElement.dataset.print = 'card' })
    await page.emulateMedia({ media: 'print' })
    assert.equal(await card.isVisible(), true)
    assert.equal(await page.locator('h1').isVisible(), false)
    assert.equal(await page.getByLabel('Volume').isVisible(), false)
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  test('an analysis takes the place of the plan’s tap', async () => {
    const { context, page } = await open('?part=pour')
    await page.locator('.weigh .card').waitFor(wait)
    const file = join(data, 'analysis.csv')
    writeFileSync(file, 'parameter,value,unit\nCalcium,40,mg/L\nMagnesium,6,mg/L\nHydrogen carbonate,110,mg/L\npH,7.7,\n')
    await page.getByLabel('Read an analysis (CSV or text)').setInputFiles(file)
    await page.getByText('How the analysis was read').waitFor(wait)
    await page.getByRole('button', { name: 'Back to the plan’s tap' }).click()
    await page.waitForFunction(() => !document.body.innerText.includes('How the analysis was read'), null, wait)
    await context.close()
  })

  test('a sum holds the tank’s values, answers as one types, and reckons a table', async () => {
    const { context, page, heard } = await open('?part=sums&day=200')
    const kh = page.getByLabel(/Carbonate hardness of the water/)
    await kh.waitFor(wait)
    assert.match(await kh.inputValue(), /dKH$/)
    await kh.fill('4 dKH')
    await page.getByLabel(/pH of the water/).fill('6,0')
    await page.getByText(/fish gasp and may die/).waitFor(wait)
    await page.getByText('How this was come by').first().click()
    await page.getByText(/Plummer & Busenberg 1982/).first().waitFor()
    await kh.fill('')
    await page.getByText('Still needed:').waitFor(wait)
    await page.getByRole('button', { name: 'Back to the tank’s values' }).click()
    await page.getByText(/times what open air would leave/).waitFor(wait)
    await page.getByLabel('Question').selectOption('ammonia')
    await page.waitForURL(/sum=ammonia/, wait)
    const file = join(data, 'readings.csv')
    writeFileSync(file, 'tan_mg_l,ph,temperature_c\n1,8,25\n0.5,6.5,24\n')
    const down = page.waitForEvent('download', wait)
    await page.getByLabel('Reckon a table (CSV)').setInputFiles(file)
    const out = readFileSync(await (await down).path(), 'utf8').trim().split('\n')
    assert.equal(out.length, 3)
    assert.match(out[0], /^tan_mg_l,ph,temperature_c,nh3_n_mg_l,fraction$/)
    await page.getByText('2 rows reckoned and saved.').waitFor(wait)
    for (const topic of await page.getByLabel('Question').locator('option').evaluateAll((o) => o.map((x) => x.value))) {
      await page.getByLabel('Question').selectOption(topic)
      await page.waitForTimeout(250)
      assert.equal(await page.locator('[role=alert]').count(), 0, topic)
    }
    await accessible(page, 'sums')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })

  test('bottles keep apart what would fall out', async () => {
    const { context, page } = await open('?part=doses')
    await page.getByText('Bottle A').waitFor(wait)
    await page.getByText(/stands apart from/).first().waitFor(wait)
    await context.close()
  })

  test('speak German', async () => {
    const { context, page, heard } = await open('?part=day&day=200')
    await page.goto(`${server.url}/settings`)
    await page.getByLabel('Deutsch').check()
    await page.goto(`${server.url}/tanks/${id}/water?part=sums&day=200`)
    await page.getByRole('heading', { name: 'Überschlag' }).waitFor(wait)
    await page.getByRole('button', { name: 'Wechselwasser' }).click()
    await page.getByText('Das Wasser, das daraus wird').waitFor(wait)
    await accessible(page, 'recipe in German')
    assert.deepEqual(heard, { messages: [], outside: [] })
    await context.close()
  })
})
