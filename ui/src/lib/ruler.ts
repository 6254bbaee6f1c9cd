// The ruler of a forecast: the first eight weeks, in which a tank changes faster than ever after, get a fifth of its length. It is the
// same ruler as on the drawings of the report.
export const EARLY_DAYS = 56
export const EARLY_SHARE = 0.2

export class Ruler {
  constructor(
    readonly from: number,
    readonly to: number,
  ) {
    if (to <= from) this.to = from + 1
  }

  private get bent(): boolean {
    return this.to > EARLY_DAYS && EARLY_DAYS - this.from < EARLY_SHARE * (this.to - this.from)
  }

  /** Place of a day along the ruler, 0 to 1. */
  share(day: number): number {
    const { from, to } = this
    if (!this.bent) return (day - from) / (to - from)
    if (day <= EARLY_DAYS) return (EARLY_SHARE * (day - from)) / (EARLY_DAYS - from)
    return EARLY_SHARE + ((1 - EARLY_SHARE) * (day - EARLY_DAYS)) / (to - EARLY_DAYS)
  }

  /** Day at a place of the ruler, whole and within it. */
  day(share: number): number {
    const { from, to } = this
    let d: number
    if (!this.bent) d = from + share * (to - from)
    else if (share <= EARLY_SHARE) d = from + (share / EARLY_SHARE) * (EARLY_DAYS - from)
    else d = EARLY_DAYS + ((share - EARLY_SHARE) / (1 - EARLY_SHARE)) * (to - EARLY_DAYS)
    return clampDay(Math.round(d), from, to)
  }
}

export function clampDay(day: number, from: number, to: number): number {
  return Math.min(to, Math.max(from, day))
}

const MONTH = 365.25 / 12

/** Where a key takes the thumb: arrows by day, with shift by week, page keys by month; ends with home and end. Null for other keys. */
export function step(key: string, shift: boolean, day: number, from: number, to: number): number | null {
  const by = shift ? 7 : 1
  switch (key) {
    case 'ArrowRight':
    case 'ArrowUp':
      return clampDay(day + by, from, to)
    case 'ArrowLeft':
    case 'ArrowDown':
      return clampDay(day - by, from, to)
    case 'PageUp':
      return clampDay(Math.round(day + MONTH), from, to)
    case 'PageDown':
      return clampDay(Math.round(day - MONTH), from, to)
    case 'Home':
      return from
    case 'End':
      return to
  }
  return null
}

export interface Tick {
  day: number
  kind: 'year' | 'named' | 'month' | 'week'
}

/** Ticks of weeks to week 8 and months after it; years are strong. */
export function ticks(from: number, to: number): Tick[] {
  const out: Tick[] = []
  for (let d = Math.max(0, from); d <= Math.min(EARLY_DAYS, to); d += 7) out.push({ day: d, kind: d === 0 || d === EARLY_DAYS ? 'named' : 'week' })
  for (let m = 3; m * MONTH <= to + 1; m++) {
    out.push({ day: Math.round(m * MONTH), kind: m % 12 === 0 ? 'year' : m === 6 ? 'named' : 'month' })
  }
  return out
}

/** The kept day at or next to a day: where keyframes stand. */
export function around(keys: readonly number[], day: number): { before: number; after: number; share: number } {
  let before = keys[0] ?? 0
  let after = keys[keys.length - 1] ?? 0
  for (const k of keys) {
    if (k <= day) before = k
    if (k >= day) {
      after = k
      break
    }
  }
  return { before, after, share: after > before ? (day - before) / (after - before) : 0 }
}
