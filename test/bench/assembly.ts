import { middle } from './numbers.ts'
import { startAssembly } from './rig/assembly.ts'
import { startLoad } from './rig/load.ts'
import { PackKind } from './rig/packs.ts'
import { wait } from './rig/process.ts'
import { metric, openRoom } from './rig/room.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const DEVICES = 100
const IN_FLIGHT = 10
const BATCH = 500
/** How long what is under way at the end may take to reach the disk. */
const DRAIN_MS = 10_000

interface Run {
  /** Packs a second whose readings are on disk. */
  readonly storedPerSecond: number
  /** Packs that were acknowledged to their device and never reached the disk. */
  readonly lost: number
}

/**
 * Readings on disk a second, against what a person would put together: Debian's mosquitto, a subscriber script, SQLite. The same
 * load for all three, in turns; ours judges each reading by every rule besides.
 */
export const assembly: Subject = {
  name: 'assembly',
  async measure(settings) {
    const runs: Record<'ours' | 'batched' | 'single', Run[]> = { ours: [], batched: [], single: [] }
    for (let repeat = 0; repeat < settings.repeats; repeat++) {
      runs.batched.push(await runAssembly(BATCH, settings))
      runs.ours.push(await runOurs(settings))
      runs.single.push(await runAssembly(1, settings))
      settings.say(
        `  stored a second: ours ${last(runs.ours)}, batched ${last(runs.batched)}, single ${last(runs.single)}`,
      )
    }
    const times = (others: readonly Run[]) =>
      middle(runs.ours.map((run, i) => run.storedPerSecond / others[i]!.storedPerSecond))
    return [
      {
        name: `times mosquitto + script + SQLite, ${BATCH} messages a commit`,
        ...times(runs.batched),
        unit: '',
        bar: { atLeast: 1.5 },
        note: 'ratio of each pair of runs; 100 devices, 3 readings a pack, 10 in flight',
      },
      {
        name: 'times the same with a commit a message',
        ...times(runs.single),
        unit: '',
        bar: { atLeast: 5 },
      },
      figure('  ours', runs.ours),
      figure('  batched', runs.batched),
      figure('  a commit a message', runs.single),
      {
        name: 'acknowledged and lost, ours',
        ...middle(runs.ours.map(({ lost }) => lost)),
        unit: 'packs',
        bar: { atMost: 0 },
      },
      { name: '  batched', ...middle(runs.batched.map(({ lost }) => lost)), unit: 'packs' },
      { name: '  a commit a message', ...middle(runs.single.map(({ lost }) => lost)), unit: 'packs' },
    ]
  },
}

function figure(name: string, runs: readonly Run[]): Figure {
  return { name, ...middle(runs.map(({ storedPerSecond }) => storedPerSecond)), unit: 'packs/s' }
}

const last = (runs: readonly Run[]): number => Math.round(runs.at(-1)!.storedPerSecond)

async function runOurs(settings: Settings): Promise<Run> {
  const room = await openRoom(DEVICES, settings)
  const { mqttHost: host, mqttPort: port } = room.program
  const load = startLoad({ host, port, devices: room.devices, ...order(settings) })
  const { packsPerSecond, ackedInAll } = await load.result
  // An acknowledgement is sent after the commit, so that what is acknowledged is stored.
  const taken = await metric(room, 'brinewatch_packs_total')
  await room.close()
  return { storedPerSecond: packsPerSecond, lost: Math.max(0, ackedInAll - taken) }
}

async function runAssembly(batch: number, settings: Settings): Promise<Run> {
  const assembled = await startAssembly(batch)
  const devices = Array.from({ length: DEVICES }, (_, i) => ({ device: `load-${i}`, password: 'any' }))
  const { host, port } = assembled
  const load = startLoad({ host, port, devices, ...order(settings) })
  await load.warm
  const from = performance.now()
  const before = await assembled.stored()
  const { ackedInAll } = await load.result
  const stored = (await assembled.stored()) - before
  const seconds = (performance.now() - from) / 1000
  await drained(assembled, ackedInAll)
  const lost = ackedInAll - (await assembled.stored())
  await assembled.stop()
  return { storedPerSecond: stored / seconds, lost: Math.max(0, lost) }
}

/** Waits until all is stored, or nothing more comes. */
async function drained(assembled: { stored(): Promise<number> }, all: number): Promise<void> {
  for (let waited = 0, before = -1; waited < DRAIN_MS; waited += 500) {
    const stored = await assembled.stored()
    if (stored >= all || stored === before) return
    before = stored
    await wait(500)
  }
}

function order({ quick }: Settings) {
  return {
    boot: 'bench',
    pack: PackKind.three,
    pace: { inFlight: IN_FLIGHT },
    warmUpS: quick ? 1 : 3,
    seconds: quick ? 2 : 8,
  } as const
}
