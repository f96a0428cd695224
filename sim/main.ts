import { appendFileSync } from 'node:fs'
import { Device } from './device/device.ts'
import { parseSimFlags, SimFlagError, USAGE, type SimFlags } from './flags.ts'
import { seededRandom } from './random.ts'
import { Rig } from './rig.ts'
import { truthLine } from './truth.ts'
import { World } from './world.ts'

/** Readings of one sampling. */
const CHANNELS = 4

function readFlags(): SimFlags {
  if (process.argv.includes('--help')) {
    console.log(USAGE)
    process.exit(0)
  }
  try {
    return parseSimFlags(process.argv.slice(2))
  } catch (error) {
    if (!(error instanceof SimFlagError)) throw error
    console.error(`${error.message}\n\n${USAGE}`)
    process.exit(2)
  }
}

const flags = readFlags()
const { scenario, historyH, intervalS, speed, truthFile } = flags
const startedAt = Date.now()
const now = () => startedAt + (Date.now() - startedAt) * speed
const past = Math.ceil((historyH * 3600) / intervalS) * CHANNELS

const device = new Device({
  name: flags.device,
  password: flags.password,
  host: flags.host,
  port: flags.port,
  format: flags.format,
  now,
  // A power-up is new each time: the same `boot` twice would make new packs look like repeats.
  random: seededRandom(startedAt),
  outboxReadings: past + 10_000,
  onAlarm: ({ sound, lampOff, priority, text }) =>
    console.log(
      `${flags.device}: ${sound ? `sounds (${priority})` : 'silent'}${lampOff ? ', lamp off' : ''}${text === undefined ? '' : `: ${text}`}`,
    ),
  onMeasureNow: () => rig.measureNow(),
  onIdentify: seconds => console.log(`${flags.device}: blinks for ${seconds} s`),
  onConfig: ({ revision, sampleIntervalS, reportIntervalS }) =>
    console.log(
      `${flags.device}: settings ${revision}, samples each ${sampleIntervalS} s, reports each ${reportIntervalS} s`,
    ),
  onLink: (up, why) =>
    console.log(
      up ? `${flags.device}: connected` : `${flags.device}: not connected${why ? ` (${why})` : ''}`,
    ),
})
const rig: Rig = new Rig({
  device,
  vessels: [
    {
      world: new World(scenario, { seed: flags.seed }),
      prefix: '',
      beginsAtMs: startedAt - historyH * 3_600_000,
    },
  ],
  intervalS,
  leastIntervalS: Math.min(60, speed),
  now,
  ...(truthFile === null
    ? {}
    : {
        onTruth: (_prefix, atMs, truth) => appendFileSync(truthFile, truthLine(flags.device, atMs, truth)),
      }),
})
console.log(`${scenario.name}: ${scenario.words}`)
rig.playPast()
rig.start()

let stopping = false
for (const signal of ['SIGINT', 'SIGTERM'] as const) {
  process.on(signal, () => {
    if (stopping) process.exit(1)
    stopping = true
    rig.stop().then(
      () => process.exit(0),
      (error: unknown) => {
        console.error(error)
        process.exit(1)
      },
    )
  })
}
