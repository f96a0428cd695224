import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { Worker, type WorkerOptions } from 'node:worker_threads'

/**
 * What a thread may take for what it has just made, MB. Node's own bound, 48 MB, is for a thread that serves; ours work through one
 * thing at a time, and there are half a dozen of them.
 */
const YOUNG_MB = 8

/** Starts the file `name`, without its ending, that lies beside the module whose address is `beside`, as a thread. */
export function startThread(name: string, beside: string, options: WorkerOptions): Worker {
  const resourceLimits = { maxYoungGenerationSizeMb: YOUNG_MB, ...options.resourceLimits }
  return beside.endsWith('.ts')
    ? new Worker(fromSource(name, beside), { ...options, resourceLimits, eval: true })
    : new Worker(new URL(`./${name}.js`, beside), { ...options, resourceLimits })
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
