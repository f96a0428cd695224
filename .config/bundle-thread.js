// Makes one file of a thread's TypeScript, for tests: node .config/bundle-thread.js ENTRY OUTFILE. A thread that loads its sources one
// by one needs a second to begin, and tests begin hundreds.
import { readFileSync } from 'node:fs'
import { pathToFileURL } from 'node:url'
import { build } from 'esbuild'

const [entry, outfile] = process.argv.slice(2)

/** A module's address stays its own: what lies beside it is found by it. */
const ownAddress = {
  name: 'own-address',
  setup({ onLoad }) {
    onLoad({ filter: /\.ts$/ }, ({ path }) => ({
      loader: 'ts',
      contents: readFileSync(path, 'utf8').replaceAll(
        'import.meta.url',
        JSON.stringify(pathToFileURL(path).href),
      ),
    }))
  },
}

await build({
  entryPoints: [entry],
  outfile,
  bundle: true,
  packages: 'external',
  platform: 'node',
  target: 'node20',
  format: 'esm',
  sourcemap: 'inline',
  logLevel: 'error',
  plugins: [ownAddress],
})
