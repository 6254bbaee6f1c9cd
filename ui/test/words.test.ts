import { readdirSync, readFileSync } from 'node:fs'
import { afterEach, describe, expect, test } from 'vitest'
import { de } from '../src/lib/messages/de'
import { en } from '../src/lib/messages/en'
import { settings } from '../src/lib/settings.svelte'
import { dateOf, dayOf, formulas, sayAge, sayDate, t } from '../src/lib/words'

const places = (s: string) => [...s.matchAll(/\{(\w+)\}/g)].map((m) => m[1]).sort()

afterEach(() => {
  settings.language = 'en'
})

describe('catalogue', () => {
  test('every key stands in both languages, with the same places to fill', () => {
    expect(Object.keys(de).sort()).toEqual(Object.keys(en).sort())
    for (const k of Object.keys(en) as (keyof typeof en)[]) {
      expect(de[k].trim(), k).not.toBe('')
      expect(places(de[k]), k).toEqual(places(en[k]))
    }
  })
  test('no sentence shouts', () => {
    for (const book of [en, de]) for (const [k, s] of Object.entries(book)) expect(s, k).not.toMatch(/!/)
  })
  test('every key is used, and every key used is there', () => {
    const files = readdirSync('src', { recursive: true, encoding: 'utf8' }).filter((f) => /\.(svelte|ts)$/.test(f) && !/messages|schema/.test(f)).map((f) => readFileSync(`src/${f}`, 'utf8'))
    const text = files.join('\n')
    const stems = [...text.matchAll(/[`']([a-z]+_)\$\{/g)].map((m) => m[1]!)
    const counted = [...text.matchAll(/many\('(\w+)'/g)].flatMap((m) => [`${m[1]}One`, `${m[1]}Many`])
    const ages = ['ageDay', 'ageWeek', 'ageMonth', 'ageYear'].flatMap((a) => [`${a}One`, `${a}Many`])
    const unused = Object.keys(en).filter((k) => !(text.includes(`'${k}'`) || counted.includes(k) || ages.includes(k) || stems.some((s) => k.startsWith(s))))
    expect(unused).toEqual([])
    for (const m of text.matchAll(/\bt\('(\w+)'/g)) expect(Object.keys(en)).toContain(m[1])
  })
})

describe('time in words', () => {
  test.each([
    [0, 'Planting day'],
    [1, 'One day after planting'],
    [13, '13 days after planting'],
    [56, 'Eight weeks after planting'],
    [126, 'Four months after planting'],
    [365, 'One year after planting'],
    [1095, 'Three years after planting'],
    [800, 'Two years and two months after planting'],
  ])('day %d', (day, say) => expect(sayAge(day)).toBe(say))
  test('in German', () => {
    settings.language = 'de'
    expect(sayAge(365)).toBe('Ein Jahr nach dem Bepflanzen')
    expect(t('leafPlan')).toBe('Plan')
  })
  test('days and dates agree, over the change of clocks too', () => {
    expect(sayDate(dateOf('2027-03-01', 0))).toBe('1 March 2027')
    expect(dayOf('2027-03-01', new Date(2027, 2, 29, 0, 30))).toBe(28)
    expect(dayOf('2027-03-01', new Date(2027, 1, 28, 23, 59))).toBe(-1)
  })
})

test('figures of formulas are set low, others are not', () => {
  const low = (s: string) => formulas(s).filter((p) => p.low).map((p) => p.text).join('')
  expect(low('CO2 25 mg/L and NO3 8')).toBe('23')
  expect(low('revision 2, H 30, week 8')).toBe('')
  expect(low('KH2PO4 0.4 g, MgSO4·7H2O')).toBe('2442')
  expect(formulas('KNO3 3.9 g').map((p) => p.text).join('')).toBe('KNO3 3.9 g')
})
