import { describe, expect, test } from 'vitest'
import { dueTasks, emptyVisit, entriesOf, localNow, stable, withEntries, type VisitBody } from '../src/lib/visit'

const id = '0f5b2c1e-6a8d-4b1f-9a54-3f0f6f1c2d3e'
const at = '2027-05-03T18:30'

function full(): VisitBody {
  return {
    tasks: [
      { care: 'weekly-change', do: 'water-change', text: 'Change 40 % of the water', state: 'done', litres: 470, grams: {}, tablets: null, wetG: null, elsewhere: '', day: null },
      { care: 'dose', do: 'dose', text: 'Dose', state: 'left-out', litres: null, grams: { KNO3: 7.6 }, tablets: null, wetG: null, elsewhere: '', day: null },
      { care: 'trim', do: 'trim', text: 'Trim', state: 'due', litres: null, grams: {}, tablets: null, wetG: null, elsewhere: '', day: null },
    ],
    readings: [
      { what: 'nitrate', value: 12, unit: 'mg/L', before: true },
      { what: 'kh', value: 4, unit: 'dKH', before: false },
      { what: 'ph', value: null, unit: '', before: true },
    ],
    photos: [{ id: 'aaaaaaaa-bbbb-4ccc-8ddd-eeeeeeeeeeee', mark: 'front' }],
    changes: [
      { what: 'lost', name: 'root-moss', species: '', count: 2 },
      { what: 'set', name: 'root-moss', species: 'Vesicularia dubyana', count: 2 },
    ],
    wetG: 420,
    minutes: 95,
    notes: 'Shrimps berried.',
  }
}

describe('a visit becomes entries', () => {
  const entries = entriesOf(full(), id, at, 63)
  test('one for each thing, none for what is open', () => {
    expect(entries.map((e) => [e.id.slice(id.length), e.kind])).toEqual([
      ['-t0', 'task'], ['-t1', 'task'], ['-b', 'test'], ['-a', 'test'], ['-c0', 'loss'], ['-c1', 'added'], ['-paaaaaaaa-bbb', 'photo'], ['', 'visit'],
    ])
  })
  test('ids fit the journal: letters, digits and dashes, at most 64', () => {
    for (const e of entries) expect(e.id).toMatch(/^[0-9A-Za-z-]{8,64}$/)
  })
  test('each reading says before or after the water change of its visit', () => {
    expect(entries.filter((e) => e.test).map((e) => e.test!.change)).toEqual(['before', 'after'])
    const none = full()
    none.tasks[0]!.state = 'due'
    expect(entriesOf(none, id, at, 63).find((e) => e.id.endsWith('-b'))!.test!.change).toBeUndefined()
  })
  test('what was left out has no amount', () => {
    expect(entries[1]!.task).toEqual({ care: 'dose', day: 63, do: 'dose', done: false })
  })
  test('it opens again as it was written', () => {
    const due = full().tasks.map((k) => ({ ...k, state: 'due' as const }))
    const back = withEntries(emptyVisit(due), id, entries)
    expect(entriesOf(back, id, at, 63).map(stable)).toEqual(entries.map(stable))
    expect(back.minutes).toBe(95)
    expect(back.tasks[2]!.state).toBe('due')
  })
  test('writing it twice writes the same entries', () => {
    expect(entriesOf(full(), id, at, 63)).toEqual(entries)
  })
})

test('tasks take the amounts of the plan', () => {
  const work = [{ care: 'd', do: 'dose', text: 'Dose', amount: 1, unit: '', wet_g: 0, minutes: 2, state: 'due' as const, entry: '' }]
  const line = { id: 'd', do: 'dose', every: '2 d', share: 0, litres: 0, grams: { KNO3: 7.6 }, bottle: '', species: '', to_cm: 0, tablets: 0 }
  expect(dueTasks(work, [line])[0]!.grams).toEqual({ KNO3: 7.6 })
})

test('an entry has one text whatever the order of its members', () => {
  expect(stable({ b: 1, a: { d: [1, 2], c: '' } })).toBe(stable({ a: { d: [1, 2] }, b: 1 }))
  expect(stable({ a: 1 })).not.toBe(stable({ a: 2 }))
})

test('local time is written as beside the tank', () => {
  expect(localNow(new Date(2027, 4, 3, 18, 30))).toBe('2027-05-03T18:30')
})
