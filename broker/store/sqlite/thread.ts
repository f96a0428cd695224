import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { Worker, type WorkerOptions } from 'node:worker_threads'

/** Starts a file of this folder, named without its ending, as a thread. */
export function startThread(name: string, options: WorkerOptions): Worker {
  return import.meta.url.endsWith('.ts')
    ? new Worker(fromSource(name), { ...options, eval: true })
    : new Worker(new URL(`./${name}.js`, import.meta.url), options)
}

/** Only in tests: the built program needs no loader. */
function fromSource(name: string): string {
  // require finds the loader's CommonJS twin, which cannot register itself from a worker.
  const loader = pathToFileURL(
    createRequire(import.meta.url)
      .resolve('tsx/esm/api')
      .replace(/cjs$/, 'mjs'),
  ).href
  const file = new URL(`./${name}.ts`, import.meta.url).href
  return `import('${loader}').then(({ register }) => { register(); return import('${file}') })`
}
