// A server for other machines: people sign in, a client's link shows one tank and no more, and holds until it is revoked.
import { after, before, describe, test } from 'node:test'
import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { accessible, fits, launch, root, serve, stop } from './house.mjs'

const wait = { timeout: 180_000 }
const password = 'a sentence of several words'

describe('a server for other machines', () => {
  let data, server, browser, id, other
  const open = () => browser.newContext({ viewport: { width: 1440, height: 960 }, ignoreHTTPSErrors: true, serviceWorkers: 'block' })
  before(async () => {
    data = mkdtempSync(join(tmpdir(), 'littoral-access-'))
    execFileSync(join(root, 'bin', 'littoral'), ['add-owner', 'Ada', '--data', data], { input: `${password}\n`, stdio: ['pipe', 'pipe', 'pipe'] })
    server = await serve(data, { more: ['--bind', '0.0.0.0', '--host', 'localhost'] })
    assert.match(server.url, /^https:/)
    browser = await launch()
  })
  after(async () => {
    await browser?.close()
    if (server) await stop(server)
    if (data) rmSync(data, { recursive: true, force: true })
  })

  test('asks who one is, and lets in whoever knows', async () => {
    const context = await open()
    const page = await context.newPage()
    await page.goto(server.url)
    await page.getByRole('heading', { name: 'Log in' }).waitFor(wait)
    await accessible(page, 'login')
    await fits(page, 'login')
    await page.getByLabel('Name').fill('Ada')
    await page.getByLabel('Password').fill('something else altogether')
    await page.getByRole('button', { name: 'Log in' }).click()
    await page.getByRole('alert').waitFor(wait)
    await page.getByLabel('Password').fill(password)
    await page.getByRole('button', { name: 'Log in' }).click()
    await page.getByRole('heading', { name: 'The shelf' }).waitFor(wait)

    const headers = { origin: server.url }
    for (const demo of ['reading-desk', 'assay-hall']) {
      const r = await context.request.post(`${server.url}/api/tanks`, { data: { demo }, headers })
      assert.equal(r.status(), 201)
      if (demo === 'reading-desk') id = (await r.json()).id
      else other = (await r.json()).id
    }
    const { job } = await (await context.request.post(`${server.url}/api/tanks/${id}/forecast`, { data: { days: 60 }, headers })).json()
    for (let state = ''; state !== 'done'; ) {
      state = (await (await context.request.get(`${server.url}/api/jobs/${job}`)).json()).state
      assert.ok(['waiting', 'running', 'done'].includes(state), state)
      await new Promise((r) => setTimeout(r, 200))
    }
    await page.goto(`${server.url}/settings`)
    await page.getByRole('heading', { name: 'Your account: Ada' }).waitFor(wait)
    await page.getByRole('rowheader', { name: 'Ada' }).waitFor(wait)
    await accessible(page, 'accounts')

    // A link for a client, made on the plan's page.
    await page.goto(`${server.url}/tanks/${id}/plan`)
    await page.getByLabel('For', { exact: true }).fill('The reading room')
    await page.getByRole('button', { name: 'Make a link' }).click()
    const link = await page.locator('.path').getAttribute('href', wait)
    assert.match(link, /^\/look\//)

    const guest = await open()
    const seen = await guest.newPage()
    await seen.goto(server.url + link)
    await seen.getByRole('slider', { name: /Time after planting/ }).waitFor(wait)
    await seen.locator('.drawing').first().waitFor(wait)
    assert.equal(await seen.locator('nav li').count(), 0, 'a client has nowhere else to go')
    assert.equal(await seen.getByText('Forecast again').count(), 0)
    assert.equal(await seen.getByText(/visits,/).count(), 0, 'no work is shown')
    await accessible(seen, 'what a client sees')
    await seen.goto(`${server.url}/tanks/${other}/grow`)
    await seen.waitForURL(new RegExp(`/tanks/${id}`), wait)
    for (const path of [`/api/tanks/${other}`, `/api/tanks/${id}/journal`, `/api/tanks/${id}/plan`]) {
      const r = await guest.request.get(server.url + path)
      assert.ok([403, 404].includes(r.status()), `${path} answers a client with ${r.status()}`)
    }
    await page.getByRole('button', { name: /Revoke/ }).click()
    await page.getByRole('button', { name: /Revoke/ }).waitFor({ state: 'detached', ...wait })
    assert.equal((await guest.request.get(`${server.url}/api/tanks/${id}`)).status(), 401, 'a revoked link shows nothing')
    await guest.close()
    await context.close()
  })
})
