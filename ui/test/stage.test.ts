import { expect, test } from 'vitest'
import { unfold } from '../src/lib/stage'

function glb(doc: object): ArrayBuffer {
  const json = new TextEncoder().encode(JSON.stringify(doc))
  const padded = (json.length + 3) & ~3
  const bin = new Uint8Array([1, 2, 3, 4])
  const out = new Uint8Array(20 + padded + 8 + bin.length)
  const v = new DataView(out.buffer)
  v.setUint32(0, 0x46546c67, true)
  v.setUint32(4, 2, true)
  v.setUint32(8, out.length, true)
  v.setUint32(12, padded, true)
  v.setUint32(16, 0x4e4f534a, true)
  out.fill(0x20, 20, 20 + padded)
  out.set(json, 20)
  v.setUint32(20 + padded, bin.length, true)
  v.setUint32(24 + padded, 0x004e4942, true)
  out.set(bin, 28 + padded)
  return out.buffer
}

test('each mesh knows where it stands and to whom it belongs', () => {
  const { file, places } = unfold(
    glb({
      asset: { version: '2.0' },
      scene: 0,
      scenes: [{ nodes: [0, 3] }],
      meshes: [{ primitives: [] }, { primitives: [] }],
      nodes: [
        { name: 'crypts/1 (Cryptocoryne wendtii)', translation: [1, 0, 0], children: [1, 2] },
        { mesh: 0, translation: [0, 2, 0] },
        { mesh: 0, scale: [2, 2, 2] },
        { name: 'root', mesh: 1, matrix: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 5, 6, 7, 1] },
      ],
    }),
  )
  expect(places[0]!.map((p) => p.owner)).toEqual(['crypts/1 (Cryptocoryne wendtii)', 'crypts/1 (Cryptocoryne wendtii)'])
  expect(places[0]![0]!.matrix.elements.slice(12, 15)).toEqual([1, 2, 0])
  expect(places[1]![0]!.matrix.elements.slice(12, 15)).toEqual([5, 6, 7])
  const v = new DataView(file)
  const length = v.getUint32(12, true)
  const doc = JSON.parse(new TextDecoder().decode(new Uint8Array(file, 20, length))) as { nodes: object[]; scenes: { nodes: number[] }[] }
  expect(doc.nodes).toEqual([{ mesh: 0, name: 'm0' }, { mesh: 1, name: 'm1' }])
  expect(v.getUint32(8, true)).toBe(file.byteLength)
  expect([...new Uint8Array(file, 20 + length + 8)]).toEqual([1, 2, 3, 4])
})
