import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { svelteTesting } from '@testing-library/svelte/vite'
import type { Plugin } from 'vite'
import { defineConfig } from 'vitest/config'

// The service worker names the files of this build, so that a new build is a new worker. The turning tank and the drawing board are large
// and need the server anyway: they are left out.
function serviceWorker(): Plugin {
  return {
    name: 'service-worker',
    apply: 'build',
    generateBundle(_, bundle) {
      const own = readdirSync('public').filter((n) => !n.startsWith('.')).map((n) => `/${n}`)
      const built = Object.keys(bundle).filter((n) => n.startsWith('assets/') && !/\/(stage|solid|editor|LayOut)-/.test(n)).map((n) => `/${n}`)
      const files = [...own, ...built].sort()
      const text = readFileSync('src/worker/sw.js', 'utf8')
      const build = createHash('sha256').update(files.join('\n')).update(text).digest('hex').slice(0, 12)
      this.emitFile({ type: 'asset', fileName: 'sw.js', source: text.replace('__BUILD__', build).replace("['__FILES__']", JSON.stringify(files)) })
    },
  }
}

export default defineConfig({
  plugins: [svelte(), svelteTesting(), serviceWorker()],
  build: {
    outDir: '../internal/web/dist',
    emptyOutDir: true,
    assetsInlineLimit: 0, // a font or picture inside a stylesheet would need data: addresses in the page's policy
    chunkSizeWarningLimit: 800,
    modulePreload: { polyfill: false },
    // Two parts turn tanks: what they share goes by the first one's name, and is left out of the worker with it.
    rolldownOptions: { output: { codeSplitting: { groups: [{ name: 'stage-three', test: /node_modules[\\/]three[\\/]/ }] } } },
  },
  server: { fs: { allow: ['..'] }, proxy: { '/api': 'http://127.0.0.1:8765' } },
  test: { environment: 'jsdom', include: ['test/**/*.test.ts'] },
})
