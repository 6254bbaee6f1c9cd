import { describe, expect, test } from 'vitest'
import { around, Ruler, step, ticks } from '../src/lib/ruler'

describe('ruler', () => {
  test('the first eight weeks get a fifth of three years', () => {
    const r = new Ruler(0, 1095)
    expect(r.share(0)).toBe(0)
    expect(r.share(56)).toBeCloseTo(0.2, 12)
    expect(r.share(1095)).toBe(1)
  })
  test('a short forecast is not bent', () => {
    expect(new Ruler(0, 60).share(30)).toBeCloseTo(0.5, 12)
  })
  test('every day comes back from its place', () => {
    for (const to of [20, 56, 57, 120, 1095, 7305]) {
      const r = new Ruler(0, to)
      for (let d = 0; d <= to; d++) expect(r.day(r.share(d))).toBe(d)
    }
  })
  test('places outside stay on the ruler', () => {
    const r = new Ruler(0, 1095)
    expect(r.day(-1)).toBe(0)
    expect(r.day(2)).toBe(1095)
  })
  test.each([
    ['ArrowRight', false, 100, 101],
    ['ArrowLeft', true, 100, 93],
    ['PageUp', false, 100, 130],
    ['PageDown', false, 20, 0],
    ['Home', false, 100, 0],
    ['End', false, 100, 1095],
    ['a', false, 100, null],
  ])('%s with shift %s from day %d leads to %s', (key, shift, from, to) => {
    expect(step(key, shift, from, 0, 1095)).toBe(to)
  })
  test('years and week 8 are marked', () => {
    const named = ticks(0, 1095).filter((m) => m.kind !== 'week' && m.kind !== 'month').map((m) => m.day)
    expect(named).toEqual([0, 56, 183, 365, 731, 1096])
  })
  test('a day lies between its keyframes', () => {
    expect(around([0, 28, 56], 35)).toEqual({ before: 28, after: 56, share: 0.25 })
    expect(around([0, 28, 56], 28)).toEqual({ before: 28, after: 28, share: 0 })
  })
})
