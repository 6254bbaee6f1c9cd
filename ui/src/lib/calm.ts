// After week 8 a line is the mean of the week around each day, so that the saw teeth of water changes stay readable over years: as in
// the report.
import { EARLY_DAYS } from './ruler'

export function calm(days: readonly number[], values: readonly number[]): number[] {
  const sums = new Float64Array(values.length + 1)
  for (let i = 0; i < values.length; i++) sums[i + 1] = sums[i]! + values[i]!
  return values.map((v, i) => {
    if (days[i]! <= EARLY_DAYS) return v
    const a = Math.max(0, i - 3)
    const b = Math.min(values.length, i + 4)
    return (sums[b]! - sums[a]!) / (b - a)
  })
}

/** What a chart shows on a day: the value itself in the first weeks, then the mean of the week around it. */
export function level(days: readonly number[], values: readonly number[] | undefined, day: number): number | null {
  if (!values) return null
  let i = -1
  while (i + 1 < days.length && days[i + 1]! <= day) i++
  if (i < 0) return null
  if (days[i]! <= EARLY_DAYS) return values[i] ?? null
  const week = values.slice(Math.max(0, i - 3), i + 4)
  return week.reduce((a, b) => a + b, 0) / week.length
}

/** Sums over the week that ends on each day: minutes of work, litres changed. */
export function weekly(values: readonly number[]): number[] {
  let run = 0
  return values.map((v, i) => {
    run += v - (i >= 7 ? values[i - 7]! : 0)
    return run
  })
}

/** The value on or next before a day. */
export function on(days: readonly number[], values: readonly number[] | undefined, day: number): number | null {
  if (!values) return null
  let v: number | null = null
  for (let i = 0; i < days.length && days[i]! <= day; i++) v = values[i] ?? v
  return v
}

/** Lines that one text has and the other has not, in order: how two plans differ. */
export function differ(a: string, b: string): { side: 'a' | 'b'; line: string; number: number }[] {
  const x = a.split('\n')
  const y = b.split('\n')
  let head = 0
  while (head < x.length && head < y.length && x[head] === y[head]) head++
  let ex = x.length
  let ey = y.length
  while (ex > head && ey > head && x[ex - 1] === y[ey - 1]) {
    ex--
    ey--
  }
  const n = ex - head
  const m = ey - head
  if (n * m > 4_000_000) {
    return [...x.slice(head, ex).map((line, i) => ({ side: 'a' as const, line, number: head + i + 1 })), ...y.slice(head, ey).map((line, i) => ({ side: 'b' as const, line, number: head + i + 1 }))]
  }
  const long: Uint32Array[] = Array.from({ length: n + 1 }, () => new Uint32Array(m + 1))
  for (let i = n - 1; i >= 0; i--) for (let j = m - 1; j >= 0; j--) long[i]![j] = x[head + i] === y[head + j] ? long[i + 1]![j + 1]! + 1 : Math.max(long[i + 1]![j]!, long[i]![j + 1]!)
  const out: { side: 'a' | 'b'; line: string; number: number }[] = []
  let i = 0
  let j = 0
  while (i < n || j < m) {
    if (i < n && j < m && x[head + i] === y[head + j]) {
      i++
      j++
    } else if (j >= m || (i < n && long[i + 1]![j]! >= long[i]![j + 1]!)) {
      out.push({ side: 'a', line: x[head + i]!, number: head + i + 1 })
      i++
    } else {
      out.push({ side: 'b', line: y[head + j]!, number: head + j + 1 })
      j++
    }
  }
  return out.filter((d) => d.line.trim() !== '')
}
