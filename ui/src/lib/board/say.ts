// Things on the board in words.
import { lengthCM, num, units } from '../units'
import { many, t } from '../words'
import { anchor, type Item } from './model'

/** What an item is called. */
export function nameOf(i: Item): string {
  switch (i.list) {
    case 'plants':
      return `${i.number}${i.letter} ${i.species}`
    case 'hardscape':
      return i.id
    case 'views':
    case 'marks':
      return i.name || i.id
    default:
      return i.id
  }
}
export function kindOf(i: Item): string {
  switch (i.list) {
    case 'plants':
      return t(({ in: 'wayIn', along: 'wayAlong', at: 'wayAt', on: 'wayOn', afloat: 'wayAfloat' } as const)[i.way])
    case 'hardscape':
      return t(i.kind === 'wood' ? 'kindWood' : i.shape.kind === 'slab' ? 'kindSlab' : 'kindStone')
    case 'lamps':
      return t('kindLamp')
    case 'filter':
      return t('kindFilter')
    case 'views':
      return t('kindView')
    case 'marks':
      return t('kindMark')
  }
}
/** A place in the person's units. */
export function placeOf(p: readonly [number, number]): string {
  const f = (v: number): string => num(units() === 'US' ? v / 2.54 : v, 3)
  return `${f(p[0])}, ${f(p[1])} ${units() === 'US' ? 'in' : 'cm'}`
}
/** An item for ears: what, how much, where. */
export function spoken(i: Item): string {
  const more =
    i.list === 'plants' ? many('potsN', i.pots) : i.list === 'hardscape' ? lengthCM(i.shape.lengthCM, 3) : ''
  return [nameOf(i), kindOf(i), more, t('saidAt', { at: placeOf(anchor(i)) }), i.locked ? t('saidLocked') : '', i.group ? t('saidGroup', { g: i.group }) : ''].filter(Boolean).join(', ')
}
export function several(items: readonly Item[]): string {
  return items.length === 1 && items[0] ? nameOf(items[0]) : many('thingsN', items.length)
}
