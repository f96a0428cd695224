import { execFileSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { Worker, type WorkerOptions } from 'node:worker_threads'

/**
 * What a thread may take for what it has just made, MB. Node's own bound, 48 MB, is for a thread that serves; ours work through one
 * thing at a time, and there are half a dozen of them.
 */
const YOUNG_MB = 8

/** Starts the file `name`, without its ending, that lies beside the module whose address is `beside`, as a thread. */
export function startThread(name: string, beside: string, options: WorkerOptions): Worker {
  const resourceLimits = { maxYoungGenerationSizeMb: YOUNG_MB, ...options.resourceLimits }
  const file = beside.endsWith('.ts') ? bundled(name, beside) : new URL(`./${name}.js`, beside)
  return new Worker(file, { ...options, resourceLimits })
}

/** Only in tests: made once in each process, because sources may change between two. The next build takes them away. */
function bundled(name: string, beside: string): string {
  const entry = fileURLToPath(new URL(`./${name}.ts`, beside))
  const root = fileURLToPath(new URL('..', import.meta.url))
  const dir = `${root}dist/threads/${process.pid}`
  const outfile = `${dir}/${entry.slice(root.length).replaceAll('/', '.')}.mjs`
  if (existsSync(outfile)) return outfile
  execFileSync(process.execPath, [`${root}.config/bundle-thread.js`, entry, outfile], { stdio: 'inherit' })
  return outfile
}
