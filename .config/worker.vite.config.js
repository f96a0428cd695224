// Builds the dashboard's service worker into dist/dashboard/worker.js: one classic script at the root, so that its scope is the
// whole dashboard and every browser can run it. Comes after the dashboard's own build, whose files it learns by heart.
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { join, relative, sep } from 'node:path'
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vite'

const dist = fileURLToPath(new URL('../dist/dashboard', import.meta.url))
const entry = fileURLToPath(new URL('../dashboard/worker/main.ts', import.meta.url))

const built = readdirSync(dist, { recursive: true, withFileTypes: true })
  .filter(each => each.isFile() && each.name !== 'worker.js')
  .map(each => join(each.parentPath, each.name))
  .sort()
const hash = createHash('sha256')
for (const file of built) hash.update(relative(dist, file)).update('\0').update(readFileSync(file))
for (const name of readdirSync(join(entry, '..')).sort()) hash.update(readFileSync(join(entry, '..', name)))

const paths = built.map(file => `/${relative(dist, file).split(sep).join('/')}`)
const build = {
  version: hash.digest('hex').slice(0, 16),
  files: paths.map(path => (path === '/index.html' ? '/' : path)),
}

export default defineConfig({
  configFile: false,
  publicDir: false,
  define: { SHELL_BUILD: JSON.stringify(build) },
  build: {
    outDir: dist,
    emptyOutDir: false,
    target: 'es2022',
    lib: { entry, name: 'worker', formats: ['iife'], fileName: () => 'worker.js' },
  },
})
