import { middle } from './numbers.ts'
import { startBareAedes } from './rig/bare.ts'
import { startLoad, type Credentials, type LoadResult } from './rig/load.ts'
import { PackKind, READINGS_OF } from './rig/packs.ts'
import { cpuSeconds } from './rig/process.ts'
import { metric, openRoom } from './rig/room.ts'
import type { Figure, Settings, Subject } from './subject.ts'

/** Devices that load at once, each with its vessel. */
const DEVICES = 100
const CASES = [
  { pack: PackKind.three, inFlight: 10, bar: { atLeast: 0.5 } },
  { pack: PackKind.three, inFlight: 1, bar: { atLeast: 0.5 } },
  { pack: PackKind.one, inFlight: 10 },
  { pack: PackKind.one, inFlight: 1 },
] as const
type Case = (typeof CASES)[number]

interface Run extends LoadResult {
  readonly brokerCores: number
}

/**
 * QoS 1 messages that the program takes in, decodes, judges and commits with FULL, against what aedes passes with nothing around
 * it, from the same load client; in turns, so that what else the machine does meets both.
 */
export const intake: Subject = {
  name: 'intake',
  async measure(settings) {
    const figures: Figure[] = []
    for (const one of CASES) figures.push(...(await compare(one, settings)))
    return figures
  },
}

async function compare(one: Case, settings: Settings): Promise<Figure[]> {
  const bare: Run[] = []
  const ours: Run[] = []
  for (let repeat = 0; repeat < settings.repeats; repeat++) {
    bare.push(await runBare(one, settings))
    ours.push(await runOurs(one, settings))
    settings.say(
      `  ${nameOf(one)}: bare ${Math.round(bare.at(-1)!.packsPerSecond)}/s, ours ${Math.round(ours.at(-1)!.packsPerSecond)}/s`,
    )
  }
  const rate = (runs: readonly Run[]) => middle(runs.map(run => run.packsPerSecond))
  const readings = rate(ours).value * READINGS_OF[one.pack]
  return [
    {
      name: `${nameOf(one)}: share of bare aedes`,
      ...middle(ours.map((run, i) => run.packsPerSecond / bare[i]!.packsPerSecond)),
      unit: '',
      ...('bar' in one ? { bar: one.bar } : {}),
      note: 'ratio of each pair of runs',
    },
    {
      name: '  processor time a pack, times that of bare aedes',
      ...middle(ours.map((run, i) => cpuUs(run) / cpuUs(bare[i]!))),
      unit: '',
      note: `${middle(ours.map(cpuUs)).value.toFixed(1)} µs, threads included, against ${middle(bare.map(cpuUs)).value.toFixed(1)} µs; hardly moved by what else runs`,
    },
    {
      name: '  ours',
      ...rate(ours),
      unit: 'packs/s',
      note: `${Math.round(readings)} readings/s; ${notes(ours)}`,
    },
    { name: '  bare aedes', ...rate(bare), unit: 'packs/s', note: notes(bare) },
  ]
}

function cpuUs({ brokerCores, packsPerSecond }: Run): number {
  return (brokerCores / packsPerSecond) * 1e6
}

function nameOf({ pack, inFlight }: Case): string {
  const readings = READINGS_OF[pack]
  return `${readings} reading${readings === 1 ? '' : 's'} a pack, ${inFlight} in flight`
}

function notes(runs: readonly Run[]): string {
  const mid = (of: (run: Run) => number) => middle(runs.map(of)).value
  return (
    `ack p50 ${mid(run => run.ackMs.p50).toFixed(1)} ms, p99 ${mid(run => run.ackMs.p99).toFixed(1)} ms; ` +
    `cores used: broker ${mid(run => run.brokerCores).toFixed(2)}, client ${mid(run => run.coresUsed).toFixed(2)}`
  )
}

async function runBare(one: Case, settings: Settings): Promise<Run> {
  const broker = await startBareAedes()
  const devices = Array.from({ length: DEVICES }, (_, i) => ({ device: `load-${i}`, password: 'any' }))
  try {
    return await loaded({ ...broker, devices }, one, settings)
  } finally {
    await broker.stop()
  }
}

async function runOurs(one: Case, settings: Settings): Promise<Run> {
  const room = await openRoom(DEVICES, settings)
  const { mqttHost: host, mqttPort: port, pid } = room.program
  const run = await loaded({ host, port, pid, devices: room.devices }, one, settings)
  // What was acknowledged was read and not set aside: each pack once, with all its readings, and judged.
  const packs = await metric(room, 'brinewatch_packs_total')
  const readings = await metric(room, 'brinewatch_readings_total')
  if (packs !== run.ackedInAll || readings !== packs * READINGS_OF[one.pack]) {
    throw new Error(`${run.ackedInAll} packs were acknowledged, ${packs} with ${readings} readings taken in`)
  }
  await room.close()
  return run
}

async function loaded(
  broker: { host: string; port: number; pid: number; devices: readonly Credentials[] },
  { pack, inFlight }: Case,
  { quick }: Settings,
): Promise<Run> {
  const { host, port, pid, devices } = broker
  const pace = { inFlight }
  const seconds = quick ? 2 : 8
  const load = startLoad({ host, port, devices, boot: 'bench', pack, pace, warmUpS: quick ? 1 : 3, seconds })
  await load.warm
  const before = cpuSeconds(pid)
  const result = await load.result
  return { ...result, brokerCores: (cpuSeconds(pid) - before) / result.seconds }
}
