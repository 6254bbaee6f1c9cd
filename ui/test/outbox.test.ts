import { IDBFactory } from 'fake-indexeddb'
import { beforeEach, expect, test, vi } from 'vitest'

const entry = { id: 'visit-0001', tank: 't', base: 1, kind: 'visit', at: '2027-03-01', body: { text: 'a' }, settles: false }

async function fresh() {
  vi.resetModules()
  globalThis.indexedDB = new IDBFactory()
  return import('../src/lib/outbox')
}

let box: Awaited<ReturnType<typeof fresh>>
beforeEach(async () => {
  box = await fresh()
})
const sends = (result: 'kept' | 'already' | 'conflict' | 'refused' | 'unreachable', more = {}) => ({
  entry: vi.fn(async () => ({ result, ...more })),
  photo: vi.fn(async () => ({ result })),
})

test('what the server keeps leaves, once', async () => {
  await box.hold(entry)
  const s = sends('kept', { version: 2 })
  expect((await box.send(s)).left).toBe(0)
  await box.send(s)
  expect(s.entry).toHaveBeenCalledTimes(1)
})

test('without a network everything stays', async () => {
  await box.hold(entry)
  await box.holdPhoto({ id: 'photo-0001', tank: 't', mark: 'front', at: '2027-03-01', blob: new Blob(['x']) })
  expect((await box.send(sends('unreachable'))).left).toBe(2)
  expect((await box.waiting()).entries[0]!.body).toEqual({ text: 'a' })
})

test('photos go before the entries that name them, and an unreachable server stops both', async () => {
  await box.hold(entry)
  await box.holdPhoto({ id: 'photo-0001', tank: 't', mark: 'front', at: '2027-03-01', blob: new Blob(['x']) })
  const s = { ...sends('kept'), photo: vi.fn(async () => ({ result: 'unreachable' as const })) }
  await box.send(s)
  expect(s.entry).not.toHaveBeenCalled()
})

test('a text written again while the old one travels stays, over the version just told', async () => {
  await box.hold(entry)
  const s = {
    photo: vi.fn(async () => ({ result: 'kept' as const })),
    entry: vi.fn(async () => {
      await new Promise((r) => setTimeout(r, 5))
      await box.hold({ ...entry, body: { text: 'b' } })
      return { result: 'kept' as const, version: 7 }
    }),
  }
  await box.send(s)
  const left = (await box.waiting()).entries
  expect(left.map((e) => [e.body, e.base])).toEqual([[{ text: 'b' }, 7]])
})

test('a conflict stays with what the server has, and is not sent again by itself', async () => {
  await box.hold(entry)
  const s = sends('conflict', { current: { base: 3, entry: { text: 'theirs' } } })
  await box.send(s)
  await box.send(s)
  expect(s.entry).toHaveBeenCalledTimes(1)
  expect((await box.waiting()).entries[0]!.clash).toEqual({ base: 3, entry: { text: 'theirs' } })
})

test('what is refused stays with the reason', async () => {
  await box.hold(entry)
  await box.send(sends('refused', { problem: 'No such reading.' }))
  expect((await box.waiting()).entries[0]!.problem).toBe('No such reading.')
})

test('what was refused waits for a person, and goes again when it is mended or sent again', async () => {
  await box.hold(entry)
  await box.send(sends('refused', { problem: 'No such reading.' }))
  const s = sends('kept')
  await box.send(s)
  expect(s.entry).not.toHaveBeenCalled()
  await box.retry((await box.refused()).entries[0]!)
  expect((await box.send(s)).left).toBe(0)
  await box.hold(entry)
  await box.send(sends('refused', { problem: 'No such reading.' }))
  await box.hold({ ...entry, body: { text: 'mended' } })
  expect((await box.send(s)).left).toBe(0)
})

test('no entry goes whose photo was refused, and both go together', async () => {
  await box.holdPhoto({ id: 'photo-0001', tank: 't', mark: 'front', at: '2027-03-01', blob: new Blob(['x']) })
  await box.hold({ ...entry, id: 'visit-0001-p1', kind: 'photo', body: { photo: { id: 'photo-0001' } } })
  const s = { ...sends('kept'), photo: vi.fn(async () => ({ result: 'refused' as const, problem: 'No picture.' })) }
  await box.send(s)
  await box.send(s)
  expect(s.photo).toHaveBeenCalledTimes(1)
  expect(s.entry).not.toHaveBeenCalled()
  await box.letGoPhoto('photo-0001')
  const left = await box.waiting()
  expect(left.entries.length + left.photos.length).toBe(0)
})

test('two pages that write one entry keep a text each', async () => {
  await box.hold(entry)
  const first = box.session
  vi.resetModules()
  const other = await import('../src/lib/outbox')
  expect(other.session).not.toBe(first)
  await other.hold({ ...entry, body: { text: 'other page' } })
  expect((await other.oursOf('visit-0001')).map((e) => e.body)).toHaveLength(2)
})
