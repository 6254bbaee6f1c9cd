// Quantities in the units a person reads. The server speaks SI-near trade units (cm, L, °C, g); US shows inches, gallons, °F, ounces.
import { settings, type Units } from './settings.svelte'

const INCH_CM = 2.54 // exact, International yard and pound agreement 1959
const GALLON_L = 3.785411784 // US liquid gallon, exact
const OUNCE_G = 28.349523125 // avoirdupois, exact

let planUnits: Units = 'metric'

/** The plan in hand says which units its house uses; the person's own choice goes before it. */
export function usePlanUnits(u: Units): void {
  planUnits = u
}

export function units(): Units {
  return settings.units ?? planUnits
}

/** A number with no more than the given digits that count, in the person's language. */
export function num(v: number, digits = 2): string {
  if (!Number.isFinite(v)) return '–'
  const a = Math.abs(v)
  const decimals = a === 0 ? 0 : Math.max(0, digits - 1 - Math.floor(Math.log10(a) + 1e-9))
  const cut = 10 ** Math.min(decimals, 4)
  const whole = a >= 10 ** digits && digits > 2 ? 10 ** (Math.floor(Math.log10(a)) - digits + 1) : 1
  const shown = a >= 10 ** digits ? Math.round(v / whole) * whole : Math.round(v * cut) / cut
  return new Intl.NumberFormat(settings.language, { maximumFractionDigits: Math.min(decimals, 4) }).format(shown)
}

/** A number with a fixed number of decimals, as a sum gives them; what is too small for a person is under the last one, not nothing. */
export function places(v: number, decimals: number): string {
  if (!Number.isFinite(v)) return '–'
  const f = new Intl.NumberFormat(settings.language, { maximumFractionDigits: decimals, minimumFractionDigits: Math.min(decimals, 2) })
  const least = 10 ** -decimals
  return v > 0 && v < least / 2 ? `< ${f.format(least)}` : f.format(v)
}

/** The sign of the inch: as a German word, since "in" would be read as one. */
export function inch(): string {
  return settings.language === 'de' ? 'Zoll' : 'in'
}

/** A number of a sum in the person's units: its words name the unit it is told in. */
export function reckoned(n: { column: string; words: string; value: number; places: number }): { words: string; text: string } {
  const as = (v: number, from: string, to: string, decimals = n.places) => ({ words: n.words.replace(new RegExp(`, ${from}(?= |$)`), `, ${to}`), text: places(v, decimals) })
  if (units() === 'US') {
    if (n.words.endsWith('°C')) return as((n.value * 9) / 5 + 32, '°C', '°F')
    if (/, L(?= |$)/.test(n.words)) return as(n.value / GALLON_L, 'L', 'gal', Math.max(1, n.places))
    if (/, kg$/.test(n.words)) return as((n.value * 1000) / OUNCE_G / 16, 'kg', 'lb')
  }
  return { words: n.words, text: places(n.value, n.places) }
}

export function lengthCM(cm: number, digits = 2): string {
  return units() === 'US' ? `${num(cm / INCH_CM, digits)} ${inch()}` : `${num(cm, digits)} cm`
}

/** Length, width and height of a tank in one go. */
export function sizeCM(l: number, w: number, h: number): string {
  const f = (v: number) => num(units() === 'US' ? v / INCH_CM : v, 3)
  return `${f(l)} × ${f(w)} × ${f(h)} ${units() === 'US' ? inch() : 'cm'}`
}

export function volumeL(l: number, digits = 3): string {
  return units() === 'US' ? `${num(l / GALLON_L, digits)} gal` : `${num(l, digits)} L`
}

export function tempC(c: number): string {
  return units() === 'US' ? `${num((c * 9) / 5 + 32, 2)} °F` : `${num(c, 2)} °C`
}

export function massG(g: number, digits = 2): string {
  if (units() === 'US') return g >= 16 * OUNCE_G ? `${num(g / OUNCE_G / 16, digits)} lb` : `${num(g / OUNCE_G, digits)} oz`
  return g >= 1000 ? `${num(g / 1000, digits)} kg` : `${num(g, digits)} g`
}

/** A value of a series in the person's units, with the unit it then has. */
export function shown(v: number, unit: string): { v: number; unit: string } {
  if (units() !== 'US') return { v, unit }
  switch (unit) {
    case '°C':
      return { v: (v * 9) / 5 + 32, unit: '°F' }
    case 'cm':
      return { v: v / INCH_CM, unit: 'in' }
    case 'L':
      return { v: v / GALLON_L, unit: 'gal' }
    case 'g':
      return { v: v / OUNCE_G, unit: 'oz' }
  }
  return { v, unit }
}

/** Back from what a person typed to what the server keeps. */
export function kept(v: number, unit: string): { v: number; unit: string } {
  switch (unit) {
    case '°F':
      return { v: ((v - 32) * 5) / 9, unit: '°C' }
    case 'in':
      return { v: v * INCH_CM, unit: 'cm' }
    case 'gal':
      return { v: v * GALLON_L, unit: 'L' }
    case 'oz':
      return { v: v * OUNCE_G, unit: 'g' }
  }
  return { v, unit }
}

export function minutes(min: number): string {
  const m = Math.round(min)
  if (m < 60) return `${m} min`
  const rest = m % 60
  return rest === 0 || m >= 600 ? `${Math.round(m / 60)} h` : `${Math.floor(m / 60)} h ${rest} min`
}

/** What a field for typing holds, in the person's units: to a tenth of a gallon and a hundredth of an ounce. */
export function field(v: number | null, unit: 'L' | 'g'): number | null {
  if (v === null || units() !== 'US') return v
  const fine = unit === 'L' ? 10 : 100
  return Math.round(fine * shown(v, unit).v) / fine
}

/** What was typed into such a field, as it is kept. */
export function fromField(v: number | null | undefined, unit: 'L' | 'g'): number | null {
  return v === null || v === undefined ? null : kept(v, shown(0, unit).unit).v
}
