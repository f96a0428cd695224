import pino from 'pino'
import { startCrew } from './crew/crew.ts'
import { announce, explain } from './console.ts'
import { firstPassword } from './first-password.ts'
import { FlagError, parseFlags, USAGE, type Flags } from './flags.ts'
import { isDatabase, placeOf } from './store/open-at.ts'
import { createSystemd, type Systemd } from './unattended/systemd.ts'
import { NoPasswordError } from './need-password.ts'
import { start, type Running } from './start.ts'

/** The one clock of the service. At a speed above 1 it runs ahead, from the moment the service started or the one it was told. */
function makeClock(speed: number, startMs: number | null): () => number {
  const startedAt = Date.now()
  const beginsAt = startMs ?? startedAt
  if (speed === 1 && startMs === null) return () => Date.now()
  return () => beginsAt + (Date.now() - startedAt) * speed
}

function readFlags(): Flags {
  try {
    return parseFlags(process.argv.slice(2))
  } catch (error) {
    if (!(error instanceof FlagError)) throw error
    console.error(`${error.message}\n\n${USAGE}`)
    process.exit(2)
  }
}

function stopOnSignal(running: Running, systemd: Systemd): void {
  let stopping = false
  const stop = (signal: string): void => {
    if (stopping) return
    stopping = true
    logger.info({ signal }, 'stopping')
    systemd.stopping()
    running.close().then(
      () => process.exit(0),
      (error: unknown) => {
        logger.error({ error }, 'did not stop cleanly')
        process.exit(1)
      },
    )
  }
  process.on('SIGTERM', stop)
  process.on('SIGINT', stop)
  if (process.env.npm_lifecycle_event !== undefined) whenOrphaned(() => stop('npm ended'))
}

/** npm runs a script through a shell that dies of a SIGTERM without passing it on: what is left to see is a new parent. */
function whenOrphaned(act: () => void): void {
  const parent = process.ppid
  setInterval(() => {
    if (process.ppid !== parent) act()
  }, 250).unref()
}

const flags = readFlags()
if (flags.help) {
  console.log(USAGE)
  process.exit(0)
}
// The command line is for all users of the machine to read: a password in it is taken out of their sight.
if (flags.storeUrl !== null) process.title = 'brinewatch'
const clock = makeClock(flags.clockSpeed, flags.clockStartMs)
// An error's own fields alone would not say what went wrong.
const serializers = { error: pino.stdSerializers.err }
const logger = pino({ level: flags.logLevel, serializers }, pino.destination(2))

/** One of several workers where both the data and the broker are shared, else the only service. */
function begin(): Promise<Running> {
  const parts = { clock, random: Math.random, logger }
  const place = placeOf(flags.dataDir, flags.storeUrl, process.env)
  return isDatabase(place) && flags.mqttUrl !== null ? startCrew(flags, place, parts) : start(flags, parts)
}

async function startAskingForPassword(): Promise<Running> {
  try {
    return await begin()
  } catch (error) {
    if (!(error instanceof NoPasswordError) || !process.stdin.isTTY) throw error
    await firstPassword(placeOf(flags.dataDir, flags.storeUrl, process.env), clock)
    return begin()
  }
}

try {
  const running = await startAskingForPassword()
  const systemd = createSystemd({
    env: process.env,
    pid: process.pid,
    monotonicMs: () => performance.now(),
    ailment: running.ailment,
    logger,
  })
  systemd.ready()
  setInterval(() => systemd.tick(), 1000).unref()
  stopOnSignal(running, systemd)
  await announce(running, flags)
} catch (error) {
  console.error(explain(error, flags))
  process.exit(1)
}
