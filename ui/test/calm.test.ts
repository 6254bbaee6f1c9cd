import { expect, test } from 'vitest'
import { calm, differ, on, weekly } from '../src/lib/calm'

test('days to week 8 stay, later ones are the mean of a week', () => {
  const days = Array.from({ length: 100 }, (_, i) => i)
  const saw = days.map((d) => d % 7)
  const c = calm(days, saw)
  expect(c.slice(0, 57)).toEqual(saw.slice(0, 57))
  expect(c[80]).toBeCloseTo(3, 12)
})

test('weekly sums hold the last seven days', () => {
  expect(weekly([1, 0, 0, 0, 0, 0, 0, 2]).at(-1)).toBe(2)
})

test('the value on a day is the last one known', () => {
  expect(on([0, 7, 14], [1, 2, 3], 10)).toBe(2)
  expect(on([0], undefined, 10)).toBeNull()
})

test('plans differ by the lines that only one has', () => {
  expect(differ('a\nb\nc', 'a\nx\nc')).toEqual([
    { side: 'a', line: 'b', number: 2 },
    { side: 'b', line: 'x', number: 2 },
  ])
  expect(differ('same\n', 'same\n')).toEqual([])
})
