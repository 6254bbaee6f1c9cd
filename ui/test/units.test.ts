import { afterEach, describe, expect, test } from 'vitest'
import { settings } from '../src/lib/settings.svelte'
import { field, fromField, kept, lengthCM, massG, minutes, num, places, reckoned, shown, sizeCM, tempC, volumeL } from '../src/lib/units'

afterEach(() => {
  settings.units = null
  settings.language = 'en'
})

describe('numbers carry no more digits than are true', () => {
  test.each([
    [0, 2, '0'],
    [0.0062, 2, '0.0062'],
    [1.004, 2, '1'],
    [8.37, 2, '8.4'],
    [83.7, 2, '84'],
    [1184, 3, '1,180'],
    [Number.NaN, 2, '–'],
  ])('%d to %d digits', (v, d, say) => expect(num(v, d)).toBe(say))
  test('in German', () => {
    settings.language = 'de'
    expect(num(8.37)).toBe('8,4')
  })
})

describe('units', () => {
  test('metric', () => {
    expect(lengthCM(45)).toBe('45 cm')
    expect(volumeL(1184)).toBe('1,180 L')
    expect(massG(1500)).toBe('1.5 kg')
    expect(tempC(24)).toBe('24 °C')
    expect(sizeCM(240, 90, 65)).toBe('240 × 90 × 65 cm')
  })
  // 1 in = 2.54 cm, 1 US gal = 3.785411784 L, 1 lb = 453.59237 g (exact)
  test('US', () => {
    settings.units = 'US'
    expect(lengthCM(25.4)).toBe('10 in')
    expect(volumeL(378.5411784)).toBe('100 gal')
    expect(massG(907.18474)).toBe('2 lb')
    expect(tempC(25)).toBe('77 °F')
  })
  test('what is shown comes back', () => {
    settings.units = 'US'
    for (const [v, u] of [[24, '°C'], [30, 'cm'], [100, 'L'], [12, 'g']] as const) {
      const s = shown(v, u)
      const k = kept(s.v, s.unit)
      expect(k.unit).toBe(u)
      expect(k.v).toBeCloseTo(v, 9)
    }
  })
  test('time of work', () => {
    expect(minutes(45)).toBe('45 min')
    expect(minutes(90)).toBe('1 h 30 min')
    expect(minutes(655)).toBe('11 h')
  })
})

describe('numbers of sums', () => {
  test('keep their decimals, and what is too small is under the last one', () => {
    expect(places(11.757, 2)).toBe('11.76')
    expect(places(0.00003, 2)).toBe('< 0.01')
    expect(places(0, 2)).toBe('0.00')
    expect(places(Number.NaN, 2)).toBe('–')
  })
  test.each([
    ['temperature after the change, °C', 18.8, 1, 'temperature after the change, °F', '65.8'],
    ['evaporation, L a day', 9.1, 1, 'evaporation, gal a day', '2.4'],
    ['new water, L', 589, 0, 'new water, gal', '155.6'],
    ['weight of water, bed and stone without the tank, kg', 100, 0, 'weight of water, bed and stone without the tank, lb', '220'],
    ['CO2, mg/L', 22.6, 1, 'CO2, mg/L', '22.6'],
  ])('%s in US units', (words, value, n, said, text) => {
    settings.units = 'US'
    expect(reckoned({ column: '', words, value, places: n })).toEqual({ words: said, text })
    settings.units = 'metric'
    expect(reckoned({ column: '', words, value, places: n }).words).toBe(words)
  })
})

describe('fields for typing', () => {
  test('hold the person\'s units and keep the tank\'s', () => {
    expect(field(588, 'L')).toBe(588)
    expect(fromField(588, 'L')).toBe(588)
    settings.units = 'US'
    expect(field(588, 'L')).toBe(155.3)
    expect(fromField(155.3, 'L')).toBeCloseTo(587.9, 1)
    expect(field(100, 'g')).toBe(3.53)
    expect(fromField(1, 'g')).toBeCloseTo(28.35, 2)
    expect([field(null, 'L'), fromField(undefined, 'g')]).toEqual([null, null])
  })
})
