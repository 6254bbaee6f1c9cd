// Journal entries in a line of words: where two versions stand beside each other, and where one was refused.
import { en, type Key } from './messages/en'
import { num } from './units'
import type { Entry } from './visit'
import { t } from './words'

/** A kind of work in the person's words; a kind that the catalogue does not know stands as the server says it. */
export function taskWord(kind: string): string {
  const key = `task_${kind}`
  return key in en ? t(key as Key) : kind
}

export function tellEntry(e: Entry): string {
  if (e.task) return `${e.text || taskWord(e.task.do)}: ${e.task.done ? t('taskDone') : t('taskLeft')}${e.task.litres ? `, ${num(e.task.litres, 3)} L` : ''}${e.task.tablets ? `, ${e.task.tablets}` : ''}${e.task.wet_g ? `, ${num(e.task.wet_g, 3)} g` : ''}${Object.entries(e.task.grams ?? {}).map(([s, g]) => `, ${s} ${num(g, 3)} g`).join('')}`
  if (e.test) return e.test.readings.map((r) => `${t(`read_${r.what}` as Key)} ${num(r.value, 3)} ${r.unit}`.trim()).join(', ')
  if (e.loss) return `${e.loss.planting || e.loss.stock}: ${e.loss.count} ${t('change_lost')}`
  if (e.added) return `${e.added.like ?? ''} ${e.added.species ?? ''}: ${e.added.count} ${e.added.animals ? t('change_animalsCame') : t('change_set')}`.trim()
  if (e.visit) return `${e.text ?? ''} ${e.visit.minutes ? `${e.visit.minutes} min` : ''} ${e.visit.wet_g ? `${num(e.visit.wet_g, 3)} g` : ''}`.trim()
  if (e.photo) return t('photoFrom', { mark: e.photo.mark || '–', date: e.at.slice(0, 10) })
  return e.text ?? ''
}
