// The 3D model as other programs will read it: the Khronos validator finds nothing to object to.
import { test, before, after, describe } from 'node:test'
import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, readFileSync, readdirSync, statSync, writeFileSync, copyFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import validator from 'gltf-validator'

const root = fileURLToPath(new URL('..', import.meta.url))

describe('the model of reading-desk', () => {
  let out

  before(() => {
    out = mkdtempSync(join(tmpdir(), 'littoral-views-'))
    execFileSync(join(root, 'bin', 'littoral'),
      ['views', join(root, 'examples', 'reading-desk', 'plan.yaml'), '--out', out, '--days', '0,90', '--size', '320x200', '--glb', '--person'], { stdio: 'pipe' })
  })

  after(() => {
    if (out) rmSync(out, { recursive: true, force: true })
  })

  test('the validator has neither errors nor warnings', async () => {
    const models = readdirSync(out).filter(name => name.endsWith('.glb'))
    assert.equal(models.length, 2)
    for (const name of models) {
      const report = await validator.validateBytes(new Uint8Array(readFileSync(join(out, name))), { maxIssues: 50 })
      const { numErrors, numWarnings, messages } = report.issues
      assert.equal(numErrors + numWarnings, 0, `${name}: ${JSON.stringify(messages.slice(0, 5))}`)
      assert.ok(report.info.totalTriangleCount > 10000, `${name} has only ${report.info.totalTriangleCount} triangles`)
      assert.ok(statSync(join(out, name)).size < 25 * 1024 * 1024, `${name} is larger than 25 MB`)
    }
  })

  test('pictures and numbers lie beside it', () => {
    const names = readdirSync(out)
    for (const want of ['front-day-0000.png', 'front-day-0090.png', 'composition.json']) assert.ok(names.includes(want), `${want} is missing`)
  })
})

describe('the model of a tank with a painted stone', () => {
  let dir

  before(() => {
    dir = mkdtempSync(join(tmpdir(), 'littoral-paint-'))
    const stone = ['mtllib stone.mtl', 'usemtl stone', ...[0, 1].flatMap(z => [[0, 0], [1, 0], [1, 1], [0, 1]].map(([x, y]) => `v ${x} ${y} ${z}`)),
      'vt 0 0', 'vt 1 0', 'vt 1 1', 'vt 0 1', 'f 1/1 4/4 3/3 2/2', 'f 5/1 6/2 7/3 8/4', 'f 1/1 2/2 6/3 5/4', 'f 2/1 3/2 7/3 6/4', 'f 3/1 4/2 8/3 7/4', 'f 4/1 1/2 5/3 8/4']
    writeFileSync(join(dir, 'stone.obj'), stone.join('\n') + '\n')
    writeFileSync(join(dir, 'stone.mtl'), 'newmtl stone\nKd 0.8 0.8 0.8\nmap_Kd stone.png\n')
    // Two by two pixels.
    writeFileSync(join(dir, 'stone.png'), Buffer.from('iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAIAAAD91JpzAAAAFklEQVR4nGM4YaNhs8WGwcbmxJ07JwAkEgYZTIOfUQAAAABJRU5ErkJggg==', 'base64'))
    const plan = readFileSync(join(root, 'examples', 'reading-desk', 'plan.yaml'), 'utf8')
    const second = plan.match(/^hardscape:\n/m)
    assert.ok(second, 'the demo has hardscape')
    writeFileSync(join(dir, 'plan.yaml'), plan.replace(/^hardscape:\n/m, 'hardscape:\n  - {id: painted, kind: stone, material: slate, shape: {mesh: stone.obj, size: 8 cm}, at: [12, 12]}\n'))
    copyFileSync(join(root, 'examples', 'reading-desk', 'prices.csv'), join(dir, 'prices.csv'))
    execFileSync(join(root, 'bin', 'littoral'), ['views', join(dir, 'plan.yaml'), '--out', join(dir, 'out'), '--days', '0', '--size', '320x200', '--glb'], { stdio: 'pipe' })
  })

  after(() => {
    if (dir) rmSync(dir, { recursive: true, force: true })
  })

  test('holds the picture once and the validator has nothing to object to', async () => {
    const report = await validator.validateBytes(new Uint8Array(readFileSync(join(dir, 'out', 'tank-day-0000.glb'))), { maxIssues: 50 })
    const { numErrors, numWarnings, messages } = report.issues
    assert.equal(numErrors + numWarnings, 0, JSON.stringify(messages.slice(0, 5)))
    assert.equal(report.info.resources.filter(r => r.mimeType === 'image/jpeg').length, 1)
  })
})
