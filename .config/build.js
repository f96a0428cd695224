// Builds what runs: TypeScript into dist/, the dashboard into dist/dashboard.
// With --if-stale it does nothing when no source is newer than the last build.
import { spawnSync } from 'node:child_process'
import { copyFileSync, existsSync, mkdirSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { compressIn } from './compress.js'

const root = dirname(dirname(fileURLToPath(import.meta.url)))
const stamp = join(root, 'dist', '.built')
const sources = [
  'broker',
  'dashboard',
  'firmware-protocol',
  'sim',
  'package.json',
  'package-lock.json',
  'tsconfig.json',
  '.config',
]

/** The newest modification time below a file or folder, in ms. A folder's own time counts, so a deletion does too. */
function newest(path) {
  const info = statSync(path)
  if (!info.isDirectory()) return info.mtimeMs
  return readdirSync(path).reduce((latest, name) => Math.max(latest, newest(join(path, name))), info.mtimeMs)
}

function run(...command) {
  const [file, ...args] = command
  const { status } = spawnSync(process.execPath, [join(root, 'node_modules', file), ...args], {
    cwd: root,
    stdio: ['ignore', 2, 2],
  })
  if (status !== 0) process.exit(status ?? 1)
}

const present = sources.map(name => join(root, name)).filter(path => existsSync(path))
if (process.argv.includes('--if-stale') && existsSync(stamp)) {
  const built = statSync(stamp).mtimeMs
  if (present.every(path => newest(path) < built)) process.exit(0)
}

// What tests made of threads' sources: see broker/thread.ts.
rmSync(join(root, 'dist/threads'), { recursive: true, force: true })
const startedAt = new Date()
process.stderr.write('brinewatch: building (about 10 s, once)\n')
run('typescript/bin/tsc', '-p', '.config/tsconfig.build.json')
run('vite/bin/vite.js', 'build', 'dashboard', '--config', 'dashboard/vite.config.ts', '--logLevel', 'warn')
run('vite/bin/vite.js', 'build', '--config', '.config/worker.vite.config.js', '--logLevel', 'warn')
compressIn(join(root, 'dist/dashboard'))
copyFileSync(join(root, 'sim/demo/season.json.gz'), join(root, 'dist/sim/demo/season.json.gz'))
mkdirSync(dirname(stamp), { recursive: true })
writeFileSync(stamp, startedAt.toISOString())
