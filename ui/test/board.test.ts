import { describe, expect, test } from 'vitest'
import { begin, edit as strokeEdit, lead, litres, slopes, weight } from '../src/lib/board/brush'
import { scaledTo } from '../src/lib/board/backdrop'
import { arranged, edits, followers, freshId, moved, movable, renamed, room, still, through, withItems, written } from '../src/lib/board/change'
import { along, area, distance, heightAt, hull, inside, lengthOf, rounded, simplified, spread, turned } from '../src/lib/board/geometry'
import { deed } from '../src/lib/board/keys'
import { boxOf, keyOf, type Board, type Filter, type Ground, type Hard, type Plant, type Pt } from '../src/lib/board/model'
import { inBox, next, under, walk, whole } from '../src/lib/board/pick'
import { snap } from '../src/lib/board/snap'
import { change, itemAt, together } from '../src/lib/board/text'
import { firstKit, made, potsOver } from '../src/lib/board/tools'
import { fit, pinch, ticks, toPlan, toScreen, zoom } from '../src/lib/board/view'

const square: Pt[] = [[0, 0], [10, 0], [10, 10], [0, 10]]
function stone(id: string, at: Pt, more: Partial<Hard> = {}): Hard {
  return {
    list: 'hardscape', id, kind: 'stone', material: 'slate', at, turn: 0, tilt: 0, lean: 0, sinkCM: 2, mirrored: false, outline: square.map(([x, y]): Pt => [x + at[0] - 5, y + at[1] - 5]), topCM: 12, baseCM: 2, massKG: 3, limbs: [],
    shape: { kind: 'boulder', lengthCM: 10, widthCM: 10, heightCM: 10, thickCM: 0, limbs: 0, roughness: 0.5, file: '' }, group: '', locked: false, line: 0, ...more,
  }
}
function plant(id: string, more: Partial<Plant> = {}): Plant {
  return {
    list: 'plants', id, species: 'Cryptocoryne parva', pots: 3, way: 'in', points: [[20, 20], [40, 20], [40, 30], [20, 30]], on: '', places: [[25, 25, 4], [30, 25, 4], [35, 25, 4]], event: '', heightCM: 0, grownHeightCM: 6, grownSpreadCM: 6,
    form: 'rosette', colour: '#4f6f52', symbol: 'circle', number: 1, letter: '', group: '', locked: false, line: 0, ...more,
  }
}
function ground(nx = 21, ny = 11): Ground {
  return { nx, ny, dx: 5, dy: 5, top: new Float32Array(nx * ny).fill(5), slope: new Float32Array(nx * ny), repose: 30, contours: [], layers: [{ index: 0, material: 'active soil', points: [], depthCM: 5, litres: 25, kg: 22 }], caps: [], bought: [], litres: 25, kg: 22 }
}
function board(items: Board['items']): Board {
  return {
    revision: 'a', text: '', problems: [], undo: { can: false, label: '' }, redo: { can: false, label: '' },
    tank: { shape: 'box', outline: [[0, 0], [100, 0], [100, 50], [0, 50]], lengthCM: 100, widthCM: 50, heightCM: 50, waterCM: 45, bowCM: 0, seenFrom: ['front'], litres: 200, line: 1 },
    items, ground: ground(), weight: { filledKG: 300, hardscapeKG: 3, loadKPa: 6, allowedKPa: 0, caution: '' }, notes: [],
  }
}

describe('view', () => {
  test('a place of the plan comes back from the screen, at any zoom', () => {
    let v = fit([0, 0, 100, 50], 800, 400)
    for (const f of [1.3, 0.2, 40]) {
      v = zoom(v, f, [123, 77])
      const p = toPlan(v, toScreen(v, [33.3, 12.5]))
      expect(p[0]).toBeCloseTo(33.3, 9)
      expect(p[1]).toBeCloseTo(12.5, 9)
    }
  })
  test('zooming keeps what lies under the pointer, two fingers what lies under both', () => {
    const v = fit([0, 0, 100, 50], 800, 400)
    const p = toPlan(v, [200, 100])
    expect(toScreen(zoom(v, 2, [200, 100]), p)).toEqual([expect.closeTo(200, 9), expect.closeTo(100, 9)])
    const a = toPlan(v, [100, 200])
    const b = toPlan(v, [200, 200])
    const w = pinch(v, [[100, 200], [200, 200]], [[50, 150], [250, 150]])
    expect(toScreen(w, a)[0]).toBeCloseTo(50, 9)
    expect(toScreen(w, b)[0]).toBeCloseTo(250, 9)
    expect(w.scale / v.scale).toBeCloseTo(2, 9)
  })
  test('rulers name whole steps of cm or inches, far enough apart to be read', () => {
    for (const inches of [false, true])
      for (const scale of [0.5, 2, 6, 30]) {
        const named = ticks(0, 300, scale, inches).filter((t) => t.label)
        for (let i = 1; i < named.length; i++) expect((named[i]!.at - named[i - 1]!.at) * scale).toBeGreaterThanOrEqual(43.9)
        for (const t of named) expect(t.at / (inches ? 2.54 : 1)).toBeCloseTo(Number(t.label), 2)
      }
  })
})

describe('geometry', () => {
  test('inside, area, turning, distances', () => {
    expect(inside([5, 5], square)).toBe(true)
    expect(inside([15, 5], square)).toBe(false)
    expect(area(square)).toBe(100)
    const p = turned([10, 0], [0, 0], 90)
    expect(p[0]).toBeCloseTo(0, 9)
    expect(p[1]).toBeCloseTo(10, 9)
    expect(lengthOf([[0, 0], [3, 4], [3, 10]])).toBe(11)
  })
  test('rounding an outline stays within it and simplifying keeps its corners', () => {
    for (const q of rounded(square)) expect(q[0] >= 0 && q[0] <= 10 && q[1] >= 0 && q[1] <= 10).toBe(true)
    const dense: Pt[] = []
    for (let i = 0; i < 4; i++) for (let k = 0; k < 10; k++) dense.push([square[i]![0] + ((square[(i + 1) % 4]![0] - square[i]![0]) * k) / 10, square[i]![1] + ((square[(i + 1) % 4]![1] - square[i]![1]) * k) / 10])
    const s = simplified(dense, 0.5)
    expect(s.length).toBeLessThan(9)
    for (const c of square) expect(s.some((q) => distance(q, c) < 1.1)).toBe(true)
  })
  test.each([1, 3, 7, 20, 200])('%i pots spread over an outline stand inside it, none on another', (n) => {
    const o: Pt[] = [[0, 0], [40, 0], [30, 25], [5, 20]]
    const p = spread(o, n)
    expect(p).toHaveLength(n)
    for (const q of p) expect(inside(q, o)).toBe(true)
    const gap = 0.6 * Math.sqrt(Math.abs(area(o)) / n)
    for (let i = 0; i < p.length; i++) for (let j = 0; j < i; j++) expect(distance(p[i]!, p[j]!)).toBeGreaterThan(gap)
  })
  test('points along a line keep even distances and its ends', () => {
    const p = along([[0, 0], [10, 0], [10, 10]], 5)
    expect(p).toEqual([[0, 0], [5, 0], [10, 0], [10, 5], [10, 10]])
  })
  test('a hull goes round all places', () => {
    const h = hull([[0, 0], [10, 0], [5, 8], [5, 3]], 2)
    for (const q of [[0, 0], [10, 0], [5, 8], [5, 3]] as Pt[]) expect(inside(q, h)).toBe(true)
  })
  test('heights between crossings lie between them', () => {
    const g = ground(3, 3)
    g.top.set([0, 1, 2, 0, 1, 2, 0, 1, 2])
    expect(heightAt(g, [2.5, 5])).toBeCloseTo(0.5, 6)
    expect(heightAt(g, [99, 99])).toBeCloseTo(2, 6)
  })
})

describe('choosing', () => {
  const b = board([stone('a', [20, 20], { group: 'g' }), stone('b', [60, 20], { group: 'g' }), plant('p', { points: [[50, 15], [70, 15], [70, 25], [50, 25]], places: [[60, 20, 4]] })])
  test('small things go before what they lie on', () => {
    expect(under(b.items, [60, 20], 1).map((i) => i.id)).toEqual(['p', 'b'])
    expect(under(b.items, [90, 45], 1)).toEqual([])
  })
  test('a group is chosen as a whole', () => {
    expect([...whole(b.items, ['hardscape/a'])].sort()).toEqual(['hardscape/a', 'hardscape/b'])
  })
  test('a rectangle takes what it touches', () => {
    expect(inBox(b.items, [0, 0, 30, 30]).map((i) => i.id)).toEqual(['a'])
  })
  test('the walk meets every item once and ends', () => {
    const order = walk(b)
    let at: string | null = null
    const seen: string[] = []
    for (let i = next(order, at, false); i; i = next(order, at, false)) {
      at = keyOf(i)
      seen.push(at)
    }
    expect(seen.sort()).toEqual(b.items.map(keyOf).sort())
    expect(next(order, keyOf(order[1]!), true)).toBe(order[0])
  })
})

describe('changes', () => {
  test('moved there and back is where it was', () => {
    const s = stone('a', [20, 20], { turn: 30, tilt: 10 })
    const there = moved(s, { ...still([20, 20]), dx: 5, dy: -3, turn: 40, scale: 2 }) as Hard
    expect(there.turn).toBe(70)
    expect(there.shape.lengthCM).toBe(20)
    const twice = moved(moved(s, { ...still([33, 0]), mirror: true }), { ...still([33, 0]), mirror: true }) as Hard
    expect(twice.at).toEqual(s.at)
    expect([twice.turn, twice.tilt, twice.mirrored]).toEqual([30, 10, false])
  })
  test('a mirrored piece: its outline and its turn say the same', () => {
    // A corner of the piece, in its own frame (3, 1); mirrored along its long axis (3, -1).
    const s = stone('a', [20, 20], { turn: 25 })
    const corner = turned([23, 21], [20, 20], 25)
    const m = { ...still([50, 0]), mirror: true }
    const after = moved(s, m) as Hard
    const by = turned([after.at[0] + 3, after.at[1] - 1], after.at, after.turn)
    const want = through(m, corner)
    expect(by[0]).toBeCloseTo(want[0], 9)
    expect(by[1]).toBeCloseTo(want[1], 9)
  })
  test('edits say what differs and no more, in the units of the house', () => {
    const s = stone('a', [20, 20])
    expect(edits(s, moved(s, { ...still(), dx: 1.25 }), false)).toEqual([{ op: 'set', list: 'hardscape', id: 'a', field: 'at', value: [21.3, 20] }])
    expect(edits(s, { ...s, sinkCM: 2.54 }, true)).toEqual([{ op: 'set', list: 'hardscape', id: 'a', field: 'sink', value: '1 in' }])
    expect(edits(s, { ...s, locked: true, turn: -10 }, false)).toEqual([
      { op: 'set', list: 'hardscape', id: 'a', field: 'locked', value: true },
      { op: 'set', list: 'hardscape', id: 'a', field: 'turn', value: '350°' },
    ])
    expect(edits(s, s, false)).toEqual([])
    const p = plant('p')
    expect(edits(p, moved(p, { ...still(), dy: 1 }), false)).toEqual([{ op: 'set', list: 'plants', id: 'p', field: 'in', value: [[20, 21], [40, 21], [40, 31], [20, 31]] }])
  })
  test('what is tied follows its piece without an edit of its own; what is locked stays', () => {
    const tied = plant('t', { way: 'on', on: 'a', points: [] })
    const b = board([stone('a', [20, 20]), tied])
    expect([...followers(b.items, new Set(['hardscape/a']))]).toEqual(['plants/t'])
    expect(edits(tied, moved(tied, { ...still(), dx: 9 }), false)).toEqual([])
    const at = plant('t', { way: 'on', on: 'a', points: [[21, 20]] })
    expect(edits(at, moved(at, { ...still(), dx: 9 }), false)).toEqual([{ op: 'set', list: 'plants', id: 't', field: 'at', value: [[30, 20]] }])
    expect(movable(tied)).toBe(false)
    expect(movable(stone('x', [1, 1], { locked: true }))).toBe(false)
  })
  test('a fresh id is free and keeps its stem', () => {
    expect(freshId('stone', new Set(['stone']))).toBe('stone-2')
    expect(freshId('stone-2', new Set(['stone', 'stone-2', 'stone-3']))).toBe('stone-4')
  })
  test('what is added under a name taken by another window gets another, with what is tied to it', () => {
    const r = renamed([{ op: 'add', list: 'hardscape', id: 'stone', value: { id: 'stone' } }, { op: 'add', list: 'plants', id: 'fern', value: { id: 'fern', on: 'stone' } }], new Set(['stone', 'stone-2']))
    expect(r.edits.map((e) => e.value)).toEqual([{ id: 'stone-3' }, { id: 'fern', on: 'stone-3' }])
    expect([...r.names]).toEqual([['stone', 'stone-3']])
  })
  test('what is written anew reads as the old one', () => {
    const s = stone('a', [20, 20], { turn: 15, group: 'g' })
    expect(written(s, 'b', [3, -3], false)).toEqual({ id: 'b', kind: 'stone', material: 'slate', shape: { boulder: { length: '10 cm', width: '10 cm', height: '10 cm', roughness: 0.5 } }, at: [23, 17], turn: '15°', sink: '2 cm', group: 'g' })
  })
  test.each([
    ['left', [[0, 0], [-30, 0], [-60, 0]]],
    ['right', [[60, 0], [30, 0], [0, 0]]],
    ['front', [[0, 0], [0, -5], [0, 0]]],
  ] as const)('lined up by their %s edges', (how, by) => {
    const list = [stone('a', [20, 20]), stone('b', [50, 25]), stone('c', [80, 20])]
    const m = arranged(list, how, boxOf)
    expect(list.map((i) => m.get(keyOf(i)))).toEqual(by)
  })
  test('even gaps are even', () => {
    const list = [stone('a', [10, 20]), stone('b', [22, 20]), stone('c', [80, 20])]
    const m = arranged(list, 'across', boxOf)
    const b = list.map((i) => boxOf(moved(i, { ...still(), dx: m.get(keyOf(i))![0] })))
    expect(b[1]![0] - b[0]![2]).toBeCloseTo(b[2]![0] - b[1]![2], 9)
  })
  test('the glass holds what is moved, but not what lies outside already', () => {
    expect(room([stone('a', [20, 20]), plant('p')], 100, 50)).toEqual([-20, -20, 60, 20])
    expect(room([stone('a', [-5, 20])], 100, 50)).toEqual([-Infinity, -20, Infinity, 30])
  })
  test('local changes lie over the board', () => {
    const b = board([stone('a', [20, 20])])
    expect((withItems(b, new Map([['hardscape/a', stone('a', [1, 1])]])).items[0] as Hard).at).toEqual([1, 1])
  })
})

describe('holding on', () => {
  const holds = { grid: 0, glass: true, things: true }
  test('an edge near the glass or another edge is drawn to it', () => {
    const s = snap([1, 20, 11, 30], [6, 25], holds, [0, 0, 100, 64], [[40, 29.5, 50, 40]], 2)
    expect(s.dx).toBe(-1)
    expect(s.dy).toBe(-0.5)
    expect(s.holds.map((h) => h.kind)).toEqual(['glass', 'thing'])
  })
  test('far from all of it nothing holds', () => {
    expect(snap([11, 11, 19, 19], [15, 15], holds, [0, 0, 100, 50], [[60, 30, 70, 40]], 2)).toEqual({ dx: 0, dy: 0, holds: [] })
  })
  test('a grid holds the middle', () => {
    const s = snap([11, 11, 19, 19], [14.2, 16.1], { grid: 5, glass: false, things: false }, [0, 0, 100, 50], [], 2)
    expect([14.2 + s.dx, 16.1 + s.dy]).toEqual([expect.closeTo(15, 9), expect.closeTo(15, 9)])
  })
})

describe('keys', () => {
  const p = (key: string, more: Partial<{ shift: boolean; alt: boolean; ctrl: boolean }> = {}) => deed({ key, shift: false, alt: false, ctrl: false, ...more })
  test('arrows step plain, fine and coarse', () => {
    expect(p('ArrowLeft')).toEqual({ do: 'move', dx: -1, dy: 0 })
    expect(p('ArrowUp', { alt: true })).toEqual({ do: 'move', dx: 0, dy: 0.1 })
    expect(p('ArrowDown', { shift: true })).toEqual({ do: 'move', dx: 0, dy: -10 })
  })
  test('what the browser keeps for itself is left to it', () => {
    for (const k of ['t', 'r', 'l', 'w', 'p', 's', '+', '0']) expect(p(k, { ctrl: true }), k).toBeNull()
  })
})

describe('the brush', () => {
  test('a stroke raises its middle by so much, and nothing past its rim', () => {
    const s = begin(ground(), 'raise', 2, 15, 50)
    lead(s, [50, 25])
    lead(s, [50, 25])
    expect(heightAt(s.ground, [50, 25])).toBeCloseTo(7, 5)
    expect(heightAt(s.ground, [70, 25])).toBe(5)
    expect(heightAt(s.was, [50, 25])).toBe(5)
    expect([weight(1, 'raise'), weight(0, 'smooth'), weight(0.5, 'level')]).toEqual([0, 1, 1])
    // The bulk of a round bump with this falling off: a third of its cylinder.
    expect(litres(s)).toBeCloseTo((2 * Math.PI * 225) / 3 / 1000, 1)
    expect(strokeEdit(s)).toEqual({ op: 'brush', list: 'substrate/layers', id: '1', value: { at_cm: [[50, 25], [50, 25]], radius_cm: 15, raise_cm: 2 } })
  })
  test('levelling brings to a height, lowering never under the glass', () => {
    const s = begin(ground(), 'level', 9, 15, 50)
    lead(s, [50, 25])
    expect(heightAt(s.ground, [50, 25])).toBeCloseTo(9, 5)
    const l = begin(ground(), 'lower', 20, 15, 50)
    lead(l, [50, 25])
    expect(Math.min(...l.ground.top)).toBe(0)
  })
  test('smoothing brings a bump and its surroundings together, and a plane stays one', () => {
    const g = ground()
    for (let y = 0; y < g.ny; y++) for (let x = 0; x < g.nx; x++) g.top[y * g.nx + x] = 5 + x * 0.5
    const s = begin(g, 'smooth', 0.8, 20, 50)
    lead(s, [50, 25])
    for (let n = 0; n < g.top.length; n++) expect(s.ground.top[n]).toBeCloseTo(g.top[n]!, 4)
    g.top[5 * 21 + 10] = 20
    const t = begin(g, 'smooth', 0.8, 20, 50)
    lead(t, [50, 25])
    expect(t.ground.top[5 * 21 + 10]!).toBeCloseTo(20 + 0.8 * (10 - 20), 1)
  })
  test('slopes are those of the plane', () => {
    const g = ground()
    for (let y = 0; y < g.ny; y++) for (let x = 0; x < g.nx; x++) g.top[y * g.nx + x] = x * 5
    slopes(g)
    for (const v of g.slope) expect(v).toBeCloseTo(45, 4)
  })
})

describe('tools', () => {
  const b = board([stone('a', [20, 20])])
  const kit = { ...firstKit(), species: 'Cryptocoryne parva' }
  test('a mass has as many pots as its area takes', () => {
    const m = made('mass', [[40, 10], [60, 10], [60, 30], [40, 30]], { ...kit, apartCM: 5 }, b, false)!
    expect(m.edits[0]!.value).toEqual({ id: 'cryptocoryne-parva', species: 'Cryptocoryne parva', pots: 16, in: [[40, 10], [60, 10], [60, 30], [40, 30]] })
    expect(potsOver(square, 5)).toBe(4)
  })
  test('a plant is tied to what lies where it is clicked, or to nothing', () => {
    expect(made('tied', [[22, 21]], kit, b, false)!.edits[0]!.value).toMatchObject({ pots: 1, on: 'a', at: [[22, 21]] })
    expect(made('tied', [[80, 40]], kit, b, false)).toBeNull()
  })
  test('a hand that slips over the glass means the glass', () => {
    expect(made('row', [[10, 48], [90, 53]], kit, b, false)!.edits[0]!.value).toMatchObject({ along: [[10, 48], [90, 50]] })
  })
  test('without a species no plant', () => {
    expect(made('single', [[50, 20]], firstKit(), b, false)).toBeNull()
  })
  test('stones, lamps and mouths are written as the plan has them', () => {
    expect(made('stone', [[50.04, 20]], kit, b, false)!.edits[0]!.value).toMatchObject({ id: 'stone', kind: 'stone', material: 'slate', at: [50, 20], sink: '2 cm' })
    expect(made('lamp', [[50, 25]], kit, b, false)!.edits[0]!.value).toMatchObject({ size: '50x20 cm', ppf: '90 µmol/s', 'above-water': '30 cm' })
    expect(made('outlet', [[5, 45]], kit, b, false)!.edits[0]!.op).toBe('add')
    const f: Filter = { list: 'filter', id: 'canister', flowLH: 500, outlets: [[1, 1]], inlets: [], group: '', locked: false, line: 0 }
    expect(made('outlet', [[5, 45]], kit, board([f]), false)!.edits).toEqual([{ op: 'set', list: 'filter', id: 'canister', field: 'outlets', value: [[1, 1], [5, 45]] }])
  })
  test('a point of height makes an even layer one with heights', () => {
    expect(made('height', [[50, 40]], { ...kit, heightCM: 9 }, b, false)!.edits).toEqual([
      { op: 'set', list: 'substrate/layers', id: '1', field: 'depth', value: null },
      { op: 'set', list: 'substrate/layers', id: '1', field: 'heights/points', value: [[0, 0, 5], [100, 0, 5], [0, 50, 5], [100, 50, 5], [50, 40, 9]] },
    ])
  })
  test('a terrace has its wall where the glass does not hold it', () => {
    const m = made('terrace', [[0, 30], [100, 30], [100, 50], [0, 50]], { ...kit, heightCM: 10 }, b, false)!
    const walls = m.edits.filter((e) => e.op === 'add').map((e) => (e.value as { at: Pt }).at)
    expect(walls.length).toBeGreaterThan(5)
    for (const p of walls) expect(p[1]).toBe(30)
    expect(new Set(m.edits.filter((e) => e.op === 'add').map((e) => e.id)).size).toBe(walls.length)
  })
})

describe('the text', () => {
  const text = 'name: x\nhardscape:\n  - id: a\n    at: [1, 1]\n  - id: b\nplants:\n  - id: p\nlamps: []\n# end\n'
  const items = [stone('a', [1, 1], { line: 3 }), stone('b', [1, 1], { line: 5 }), plant('p', { line: 7 })]
  test.each([[3, 'a'], [4, 'a'], [5, 'b'], [6, null], [7, 'p'], [8, null], [9, null], [1, null]])('line %i belongs to %s', (line, id) => {
    expect(itemAt(text, items, line)?.id ?? null).toBe(id)
  })
  test('the smallest change between two texts', () => {
    expect(change('abcd', 'abXd')).toEqual({ from: 2, to: 3, insert: 'X' })
    expect(change('aaa', 'aa')).toEqual({ from: 2, to: 3, insert: '' })
    expect(change('a', 'a')).toBeNull()
  })
  test('changes that lie apart come together in either order, those that touch do not', () => {
    const base = 'one\ntwo\nthree\nfour\n'
    const mine = 'one\nTWO\nthree\nfour\n'
    const theirs = 'one\ntwo\nthree\nFOUR\n'
    expect(together(base, mine, theirs)).toBe('one\nTWO\nthree\nFOUR\n')
    expect(together(base, theirs, mine)).toBe('one\nTWO\nthree\nFOUR\n')
    expect(together(base, mine, 'one\nzwei\nthree\nfour\n')).toBeNull()
    expect(together(base, base, theirs)).toBe(theirs)
  })
})

test('a traced picture is scaled by two points, the first of which stays', () => {
  const b = scaledTo({ at: [0, 0], cm: 0.1, shown: 0.5 }, [10, 10], [20, 10], 30)
  expect(b.cm).toBeCloseTo(0.3, 9)
  expect(b.at).toEqual([-20, -20])
  expect(scaledTo(b, [1, 1], [1, 1], 30)).toEqual(b)
})
