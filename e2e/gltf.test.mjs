// The 3D model as other programs will read it: the Khronos validator finds nothing to object to.
import { test, before, after, describe } from 'node:test'
import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, readFileSync, readdirSync, statSync } from 'node:fs'
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
