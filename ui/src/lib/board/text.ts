// The plan's text beside the drawing: which item a line belongs to, the smallest change between two texts, and two changes brought together.
import type { Item } from './model'

/** The item in whose lines (from 1) a line lies, or null. */
export function itemAt(text: string, items: readonly Item[], line: number): Item | null {
  let best: Item | null = null
  for (const i of items) if (i.line > 0 && i.line <= line && (!best || i.line > best.line)) best = i
  if (!best) return null
  const lines = text.split('\n')
  // Past a key at the edge of the file another list has begun.
  for (let n = best.line; n < line; n++) if (/^[A-Za-z]/.test(lines[n] ?? '')) return null
  return best
}

/** The one stretch in which two texts differ. */
export function change(from: string, to: string): { from: number; to: number; insert: string } | null {
  if (from === to) return null
  const most = Math.min(from.length, to.length)
  let a = 0
  while (a < most && from[a] === to[a]) a++
  let b = 0
  while (b < most - a && from[from.length - 1 - b] === to[to.length - 1 - b]) b++
  return { from: a, to: from.length - b, insert: to.slice(a, to.length - b) }
}

/** Both changes of one text, where they lie apart; null where they touch. */
export function together(base: string, mine: string, theirs: string): string | null {
  const m = change(base, mine)
  const t = change(base, theirs)
  if (!m) return theirs
  if (!t) return mine
  if (mine === theirs) return mine
  if (m.to < t.from) return base.slice(0, m.from) + m.insert + base.slice(m.to, t.from) + t.insert + base.slice(t.to)
  if (t.to < m.from) return base.slice(0, t.from) + t.insert + base.slice(t.to, m.from) + m.insert + base.slice(m.to)
  return null
}
