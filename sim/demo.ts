import { demoCast, demoTimes, SPARE_DEVICE, type DemoTimes, type DemoVessel } from './demo/cast.ts'
import { openDataFolder, type DataFolder } from './demo/data-folder.ts'
import { DEMO_USAGE, parseDemoFlags, type DemoFlags } from './demo/flags.ts'
import { addDevice, ProgramError, startProgram, type Program } from './demo/program.ts'
import { RoomApi } from './demo/room-api.ts'
import { pastDelivered, startRigs } from './demo/room.ts'
import { playSeason } from './demo/season.ts'
import { keptWords, whatHappens } from './demo/words.ts'
import { SimFlagError } from './flags.ts'
import type { Rig } from './rig.ts'

const PAST_WITHIN_MS = 120_000

function readFlags(): { flags: DemoFlags; folder: DataFolder } {
  if (process.argv.includes('--help')) {
    console.log(DEMO_USAGE)
    process.exit(0)
  }
  try {
    const flags = parseDemoFlags(process.argv.slice(2))
    return { flags, folder: openDataFolder(flags.data) }
  } catch (error) {
    if (!(error instanceof SimFlagError)) throw error
    console.error(`${error.message}\n\n${DEMO_USAGE}`)
    process.exit(2)
  }
}

const { flags, folder } = readFlags()
const dataDir = folder.path
/** Before that, a folder that was asked for holds nothing worth keeping, and is to be empty for the next try. */
let furnished = false
let program: Program | undefined
let rigs: Rig[] = []
let closing = false

async function close(code: number): Promise<never> {
  closing = true
  await Promise.allSettled(rigs.map(rig => rig.stop()))
  await program?.stop()
  if (flags.keep && (furnished || flags.data === null)) console.log(keptWords(dataDir))
  else folder.remove()
  process.exit(code)
}

for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
  process.on(signal, () => {
    if (!closing) void close(0)
  })
}

// npm runs a script through a shell that dies of a SIGTERM without passing it on: what is left to see is a new parent.
const parent = process.ppid
if (process.env.npm_lifecycle_event !== undefined) {
  setInterval(() => {
    if (process.ppid !== parent && !closing) void close(0)
  }, 250).unref()
}

function tell(cast: readonly DemoVessel[], times: DemoTimes, http: string): void {
  console.log(`
Open ${http} in a browser. The fish room there is simulated${flags.speed === 1 ? '' : `, ${flags.speed} times faster than real time`}:
${cast.map(({ name, words }) => `  ${name.padEnd(18)}${words}`).join('\n')}
  ${SPARE_DEVICE.padEnd(18)}a device that belongs to no vessel yet: assign it to one

${whatHappens(times, flags.speed)}

Ctrl-C ends it all.`)
}

async function furnish(): Promise<void> {
  console.log('Starting the service and giving its vessels a past ...')
  const running = await startProgram([
    ...['--data', dataDir, '--http', flags.http, '--mqtt', flags.mqtt],
    ...['--clock-speed', String(flags.speed), '--log-level', 'warn'],
  ])
  program = running
  void running.ended.then(() => {
    if (closing) return
    console.error('The service has ended by itself; the demo ends too.')
    void close(1)
  })

  const today = new Date()
  const times = demoTimes(flags.speed)
  const cast = demoCast(times, today.getHours() + today.getMinutes() / 60)
  const passwords = new Map<string, string>()
  for (const name of new Set([...cast.map(({ device }) => device), SPARE_DEVICE])) {
    passwords.set(name, await addDevice(dataDir, name))
  }
  const api = new RoomApi(running.http)
  const made = []
  for (const vessel of cast) made.push({ vessel, ...(await api.createVessel(vessel)) })
  const seenAt = Date.now()
  const beganAtMs = made.at(-1)?.createdAtMs ?? seenAt
  const now = () => beganAtMs + (Date.now() - seenAt) * flags.speed

  rigs = startRigs({
    cast,
    program: running,
    passwords,
    now,
    beganAtMs,
    speed: flags.speed,
    bootSeed: seenAt,
  })
  await pastDelivered(rigs, PAST_WITHIN_MS)
  for (const { id, vessel } of made) {
    await api.assignChannels(id, vessel)
    await api.startBatch(id, beganAtMs - vessel.ageH * 3_600_000, vessel)
  }
  furnished = true
  tell(cast, times, running.http)
  if (flags.season) void bringSeason(api, beganAtMs)
}

/** Beside the running room: nobody waits for it. */
async function bringSeason(api: RoomApi, beganAtMs: number): Promise<void> {
  try {
    const batches = await playSeason(api, beganAtMs, () => closing)
    if (batches > 0)
      console.log(`An invented season of ${batches} batches before today stands under Lots, Batches.`)
  } catch (error) {
    if (!closing) console.error(error instanceof Error ? error.message : error)
  }
}

try {
  await furnish()
} catch (error) {
  if (!closing) {
    if (error instanceof ProgramError) {
      console.error(
        `${error.message}. If a port is taken, choose others: npm run demo -- --http 127.0.0.1:8081 --mqtt 127.0.0.1:1884`,
      )
    } else console.error(error instanceof Error ? error.message : error)
    await close(1)
  }
}
