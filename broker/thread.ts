import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { Worker, type WorkerOptions } from 'node:worker_threads'

/** Starts the file `name`, without its ending, that lies beside the module whose address is `beside`, as a thread. */
export function startThread(name: string, beside: string, options: WorkerOptions): Worker {
  return beside.endsWith('.ts')
    ? new Worker(fromSource(name, beside), { ...options, eval: true })
    : new Worker(new URL(`./${name}.js`, beside), options)
}

/** Only in tests: the built program needs no loader. */
function fromSource(name: string, beside: string): string {
  // require finds the loader's CommonJS twin, which cannot register itself from a worker.
  const loader = pathToFileURL(
    createRequire(import.meta.url)
      .resolve('tsx/esm/api')
      .replace(/cjs$/, 'mjs'),
  ).href
  const file = new URL(`./${name}.ts`, beside).href
  return `import('${loader}').then(({ register }) => { register(); return import('${file}') })`
}
