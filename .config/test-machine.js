// The tests drive a real browser, real MQTT programs and a real database. Finds them, or installs Debian's packages where it may, or says
// in one line what to do.
import { spawnSync } from 'node:child_process'
import { accessSync, constants, existsSync, readdirSync } from 'node:fs'
import { join } from 'node:path'

const needed = [
  { program: 'chromium', package: 'chromium' },
  { program: 'mosquitto', package: 'mosquitto' },
  { program: 'mosquitto_pub', package: 'mosquitto-clients' },
  { program: 'initdb', package: 'postgresql' },
]

/** Debian keeps the programs of PostgreSQL out of the way, by version. */
const POSTGRES = '/usr/lib/postgresql'
const postgres = existsSync(POSTGRES)
  ? readdirSync(POSTGRES).map(version => join(POSTGRES, version, 'bin'))
  : []

function has(program) {
  return [...(process.env.PATH ?? '').split(':'), '/usr/sbin', '/usr/local/sbin', ...postgres].some(
    folder => {
      try {
        accessSync(join(folder, program), constants.X_OK)
        return true
      } catch {
        return false
      }
    },
  )
}

const missing = needed.filter(({ program }) => !has(program)).map(entry => entry.package)
if (missing.length > 0) {
  const command = `apt-get install -y --no-install-recommends ${missing.join(' ')}`
  if (process.getuid?.() !== 0 || !has('apt-get')) {
    console.error(`The tests need ${missing.join(', ')}. On Debian: sudo ${command}`)
    process.exit(1)
  }
  console.error(`The tests need ${missing.join(', ')}: installing Debian's packages`)
  // Their packages start services by themselves; the tests start their own, so those are told to stay down.
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive', RUNLEVEL: '1' }
  for (const args of [['update', '-qq'], command.split(' ').slice(1).concat('-qq')]) {
    const { status } = spawnSync('apt-get', args, { stdio: ['ignore', 2, 2], env })
    if (status !== 0) process.exit(status ?? 1)
  }
}
