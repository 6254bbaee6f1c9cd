// Every word the pages say comes from here, in the language of the person.
import { de } from './messages/de'
import { en, type Key } from './messages/en'
import { settings } from './settings.svelte'

const books: Record<'en' | 'de', Record<Key, string>> = { en, de }

/** The sentence of a key with {named} places filled. */
export function t(key: Key, fill: Record<string, string | number> = {}): string {
  return books[settings.language][key].replace(/\{(\w+)\}/g, (_, name: string) => String(fill[name] ?? ''))
}

export type { Key }

/** Whether the pages have words of their own for a key that the server made. */
export const has = (key: string): key is Key => key in en

/** A counted thing: the key ends in One or Many. */
export function many(key: string, n: number, fill: Record<string, string | number> = {}): string {
  return t((n === 1 ? `${key}One` : `${key}Many`) as Key, { n, ...fill })
}

const DAY_MS = 86_400_000

export function dateOf(planted: string, day: number): Date {
  return new Date(Date.parse(`${planted}T00:00:00Z`) + day * DAY_MS)
}

export function dayOf(planted: string, date: Date): number {
  return Math.floor((Date.UTC(date.getFullYear(), date.getMonth(), date.getDate()) - Date.parse(`${planted}T00:00:00Z`)) / DAY_MS)
}

export function sayDate(d: Date, style: 'long' | 'short' = 'long'): string {
  return new Intl.DateTimeFormat(settings.language === 'en' ? 'en-GB' : 'de-DE', {
    timeZone: 'UTC',
    day: 'numeric',
    month: style === 'long' ? 'long' : 'short',
    year: 'numeric',
  }).format(d)
}

/** A small number in words, as a sentence begins. */
function counted(n: number): string {
  const words = t('numbers').split(' ')
  return words[n - 1] ?? String(n)
}

/** How long after planting a day is: the title of a date. */
export function sayAge(day: number): string {
  const cap = (s: string) => s.charAt(0).toUpperCase() + s.slice(1)
  if (day <= 0) return t('agePlanting')
  const say = (one: 'ageDay' | 'ageWeek' | 'ageMonth' | 'ageYear', n: number) => cap(n === 1 ? t(`${one}One`) : t(`${one}Many`, { n: counted(n) }))
  if (day < 14) return say('ageDay', day)
  if (day < 91) return say('ageWeek', Math.round(day / 7))
  const months = Math.round(day / (365.25 / 12))
  if (months % 12 === 0) return say('ageYear', months / 12)
  if (months < 24) return say('ageMonth', months)
  return cap(t('ageYearsMonths', { y: counted(Math.floor(months / 12)), m: months % 12 === 1 ? t('oneMonth') : t('someMonths', { n: counted(months % 12) }) }))
}

/** The day since planting as a count; before it, how far planting is off. */
export function sayDayCount(day: number): string {
  return day < 0 ? t('cardBefore', { n: -day }) : t('shortDay', { n: day })
}

/** A day on the ruler in short: day 3, week 7, month 14, as the notes in the margin say it. */
export function sayDayShort(day: number): string {
  if (day < 14) return t('shortDay', { n: day })
  if (day < 112) return t('shortWeek', { n: Math.round(day / 7) })
  return t('shortMonth', { n: Math.round(day / (365.25 / 12)) })
}

/** Splits text at the figures of formulas (CO2, KH2PO4, MgSO4·7H2O), so that they can be set low. */
export function formulas(s: string): { low: boolean; text: string }[] {
  const out: { low: boolean; text: string }[] = []
  const add = (low: boolean, text: string) => {
    const last = out[out.length - 1]
    if (last && last.low === low) last.text += text
    else if (text) out.push({ low, text })
  }
  let at = 0
  for (const m of s.matchAll(/(?<![\w.])[A-Z][A-Za-z0-9()·]*\d[A-Za-z0-9()·]*/g)) {
    if (!/^(?:[A-Z][a-z]?|\d|[()·])+$/.test(m[0])) continue
    add(false, s.slice(at, m.index))
    for (let i = 0; i < m[0].length; i++) add(/\d/.test(m[0][i]!) && i > 0 && /[A-Za-z0-9)]/.test(m[0][i - 1]!) && m[0][i - 1] !== '·', m[0][i]!)
    at = m.index + m[0].length
  }
  add(false, s.slice(at))
  return out
}
