import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/svelte'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { nothing, plate, queryOf, windowFor, type Search, type Species } from '../src/api/species'
import SpeciesPicker from '../src/parts/board/SpeciesPicker.svelte'

const crypt: Species = {
  name: 'Cryptocoryne wendtii', synonyms: ['Wendt water trumpet'], family: 'Araceae', form: 'rosette', places: ['midground'], origin: ['South Asia'],
  height_cm: [10, 30], spread_cm: [15, 25], speed: 'slow', light: 'low', par: [15, 40], co2: 'helpful', temperature_c: [22, 28], ph: [6, 8], gh: [3, 15], kh_max: 0,
  feeder: 'root', colour: 'green to brown', colour_hex: '#5F6B3A', leaf: 'lanceolate', pots_m2: [16, 30], trim: 'outer-leaves', trim_weeks: [4, 8], notices: [], for_planting: true,
  why: 'name', fit: 'with care', verdicts: [{ about: 'light', fits: 'with care', text: 'More light than such a slow plant needs.' }, { about: 'CO2', fits: 'fits', text: 'CO2 helps it, and CO2 is held at 25 mg/L.' }],
  plate: '/api/species/Cryptocoryne%20wendtii/plate.svg', attachable: false, floats: false,
}
const fern: Species = { ...crypt, name: 'Leptochilus pteropus', form: 'rhizome', places: ['epiphyte'], height_cm: [15, 35], fit: 'fits', plate: '/api/species/Leptochilus%20pteropus/plate.svg' }

const asked: string[] = []
let kept: { name: string; species: string[] }[] = []
// The server's answers; what is asked for and where the drawings are stays the room's own.
vi.mock('../src/api/species', async (own) => {
  const real = await own<typeof import('../src/api/species')>()
  return {
    ...real,
    find: vi.fn((s: Search, tank: string, at?: readonly [number, number]) => {
      asked.push(`find ${new URLSearchParams(Object.entries(real.queryOf(s, tank, at, 60)).map(([k, v]) => [k, String(v)])).toString()}`)
      const species = s.q === 'fern' ? [fern] : s.q === 'unicorn' ? [] : [crypt, fern]
      return Promise.resolve({ species, all: species.length, origins: ['Africa', 'South Asia'] })
    }),
    like: vi.fn(() => Promise.resolve([{ ...fern, far: 1.2, says: ['rhizome instead of rosette', 'as high'] }])),
    palettes: vi.fn(() => Promise.resolve(kept.map((p, i) => ({ id: `p${i}`, author: 'me', changed: '2027-03-01T00:00:00Z', ...p })))),
    keep: vi.fn((p: { id: string; name: string; species: string[] }) => {
      asked.push(`keep ${p.name}: ${p.species.join(', ')}`)
      return Promise.resolve({ ...p, author: 'me', changed: '2027-03-01T00:00:00Z' })
    }),
  }
})

beforeEach(() => {
  asked.length = 0
  kept = []
})
afterEach(cleanup)

describe('what is asked for', () => {
  test('only what is filled in goes out', () => {
    expect(queryOf(nothing, '', undefined, 60)).toEqual({ most: 60 })
    expect(queryOf({ ...nothing, q: ' red ', max_cm: 30, fitting: true }, 'a', [20, 10], 60)).toEqual({ most: 60, q: 'red', max_cm: 30, fitting: true, tank: 'a', at_x: 20, at_y: 10 })
    expect(queryOf(nothing, 'a', [-1, 10], 60)).toEqual({ most: 60, tank: 'a' })
  })
  test('one scale for a list, in which the tallest fits', () => {
    expect(windowFor([])).toBe(20)
    expect(windowFor([crypt, fern])).toBe(40)
    expect(windowFor([{ height_cm: [60, 150] }])).toBe(100)
    expect(plate(crypt, 'a b', 40)).toBe('/api/species/Cryptocoryne%20wendtii/plate.svg?tank=a+b&window_cm=40')
    expect(plate(crypt, '')).toBe('/api/species/Cryptocoryne%20wendtii/plate.svg')
  })
})

describe('the picker', () => {
  test('by keys: words, down to the plant, open it, plant it, and back', async () => {
    const onpick = vi.fn()
    render(SpeciesPicker, { tank: 'a', at: [20, 10], onpick })
    const search = await screen.findByRole('searchbox', { name: 'Find plants' })
    const first = await screen.findByRole('button', { name: /Cryptocoryne wendtii/ })
    expect(asked[0]).toContain('tank=a')
    expect(asked[0]).toContain('at_x=20')
    expect(first.querySelector('img')?.getAttribute('src')).toContain('window_cm=40')
    await fireEvent.keyDown(search, { key: 'ArrowDown' })
    expect(document.activeElement).toBe(first)
    await fireEvent.keyDown(first, { key: 'ArrowDown' })
    expect((document.activeElement as HTMLElement).dataset.name).toBe('Leptochilus pteropus')
    await fireEvent.keyDown(document.activeElement!, { key: 'Home' })
    await fireEvent.click(document.activeElement!)
    await screen.findByText('More light than such a slow plant needs.')
    expect(screen.getByText('In this place of the plan')).toBeTruthy()
    await screen.findByText('rhizome instead of rosette, as high')
    await fireEvent.click(screen.getByRole('button', { name: 'Plant Cryptocoryne wendtii' }))
    expect(onpick).toHaveBeenCalledWith(expect.objectContaining({ name: 'Cryptocoryne wendtii', pots_m2: [16, 30] }))
    await fireEvent.keyDown(document.activeElement!, { key: 'Escape' })
    await waitFor(() => expect((document.activeElement as HTMLElement).dataset.name).toBe('Cryptocoryne wendtii'))
  })
  test('typing asks once, after a pause; nothing found says what to do', async () => {
    render(SpeciesPicker, { tank: '', onpick: () => {} })
    const search = await screen.findByRole('searchbox')
    for (const q of ['u', 'un', 'unicorn']) await fireEvent.input(search, { target: { value: q } })
    await screen.findByText(/take something away/)
    expect(asked.filter((a) => a.startsWith('find')).length).toBe(2)
    expect(screen.queryByRole('checkbox')).toBeNull() // there is no plan to fit
  })
  test('a palette narrows the list, and one is begun from a plant', async () => {
    kept = [{ name: 'Ferns', species: ['Leptochilus pteropus'] }]
    render(SpeciesPicker, { tank: 'a', onpick: () => {} })
    const choice = await screen.findByLabelText('Palette')
    await fireEvent.change(choice, { target: { value: 'p0' } })
    await waitFor(() => expect(screen.queryByRole('button', { name: /Cryptocoryne wendtii/ })).toBeNull())
    await fireEvent.click(await screen.findByRole('button', { name: /Leptochilus pteropus/ }))
    expect(screen.getByRole('button', { name: 'Take out of “Ferns”' })).toBeTruthy()
    await fireEvent.input(screen.getByLabelText('Name of a new palette'), { target: { value: 'Shade' } })
    await fireEvent.click(screen.getByRole('button', { name: 'Begin a palette with it' }))
    await screen.findByRole('button', { name: /“Shade”/ })
    expect(asked).toContain('keep Shade: Leptochilus pteropus')
  })
})
