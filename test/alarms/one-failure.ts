import { ProbeFault } from '../../sim/hardware/temperature-probe.ts'
import { seededRandom } from '../../sim/random.ts'
import type { Scenario } from '../../sim/scenario.ts'
import { World } from '../../sim/world.ts'
import { between, drawHealthy } from './draw.ts'
import { HOUR_MS, WatchedRoom, type Call } from './watched-room.ts'

const VESSELS = 12
/** Vessels of one device where devices are shared. */
const SHARED = 4
const WINDOW_MS = 10 * 60_000

/** One thing that fails in a room of twelve vessels. */
export interface Failure {
  readonly name: string
  /** How many vessels it befalls. */
  readonly vessels: number
  /** What it does to each of them, from an hour on. */
  strike(well: Scenario, atH: number): Scenario
  /** Whether their devices fall silent. */
  readonly silences?: boolean
  /** Four vessels share a device. */
  readonly shared?: boolean
  /** Hours that are watched after it. */
  readonly hours?: number
}

const lamp = (to: number) => (well: Scenario, atH: number) => ({ ...well, lamp: [{ atH, to }] })
const pump =
  (to: number, overH = 0) =>
  (well: Scenario, atH: number) => ({ ...well, pump: [{ atH, to, overH }] })
const dark = (well: Scenario, atH: number) => ({ ...lamp(0)(well, atH), pump: [{ atH, to: 0 }] })
const probe = (fault: ProbeFault) => (well: Scenario, atH: number) => ({
  ...well,
  probe: [{ fromH: atH, toH: 1000, fault }],
})
const unharmed = (well: Scenario) => well

export const FAILURES: readonly Failure[] = [
  { name: 'one lamp runs away', vessels: 1, strike: lamp(2.2) },
  { name: 'one lamp dies', vessels: 1, strike: lamp(0) },
  { name: 'one pump stops', vessels: 1, strike: pump(0) },
  { name: 'one pump fades', vessels: 1, strike: pump(0.02, 4), hours: 6 },
  { name: 'one probe is unplugged', vessels: 1, strike: probe(ProbeFault.disconnected) },
  { name: 'one probe falls out', vessels: 1, strike: probe(ProbeFault.outOfWater) },
  {
    name: 'one vessel leaks',
    vessels: 1,
    strike: (well, atH) => ({
      ...well,
      levelSensor: true,
      leaks: [{ fromH: atH, toH: 1000, litresPerH: well.litres }],
    }),
  },
  { name: 'one device dies', vessels: 1, strike: unharmed, silences: true },
  { name: 'a device of four vessels dies', vessels: SHARED, strike: unharmed, silences: true, shared: true },
  { name: 'the pump of all twelve stops', vessels: VESSELS, strike: pump(0) },
  { name: 'a strip with lamp and pump of one goes off', vessels: 1, strike: dark },
  { name: 'a strip with all lamps and pumps goes off', vessels: VESSELS, strike: dark },
  { name: 'the power of all goes off', vessels: VESSELS, strike: dark, silences: true },
  { name: 'the network goes away', vessels: VESSELS, strike: unharmed, silences: true },
  {
    name: 'the heating of the room fails',
    vessels: VESSELS,
    strike: (well, atH) => ({ ...well, roomMean: [{ atH, to: well.room.meanC - 9, overH: 3 }] }),
    hours: 8,
  },
]

export interface FailurePlayed {
  readonly name: string
  readonly seed: number
  readonly atMs: number
  readonly calls: readonly Call[]
  /** The most calls within any ten minutes. */
  readonly most: number
}

/** Plays one failure in a room of twelve well vessels, half of them hatched. */
export async function playFailure(failure: Failure, seed: number, stepS = 30): Promise<FailurePlayed> {
  const random = seededRandom(seed).fork(failure.name)
  const faultH = between(random, 5, 20)
  const watched = await WatchedRoom.open()
  const startMs = watched.nowMs
  const { room, airVvm } = drawHealthy(random.fork('room')).scenario
  const vessels = []
  for (let at = 0; at < VESSELS; at++) {
    const own = drawHealthy(random.fork(`vessel ${at}`))
    const lampHoldsC = between(random, 26.5, 27.5)
    const well = {
      ...own.scenario,
      room: { ...room, meanC: Math.min(room.meanC, 20), swingC: 0.8 },
      airVvm,
      lampHoldsC,
    }
    const struck = at < failure.vessels
    const scenario = struck ? failure.strike(well, faultH) : well
    const shared = failure.shared ?? false
    const device = shared ? `bench-${Math.floor(at / SHARED)}` : `bench-${at}`
    const prefix = shared ? `${(at % SHARED) + 1}/` : ''
    const vesselId = await watched.addVessel(`Cone ${at + 1}`, scenario, device, prefix)
    const { litres, cystsGpl, salinityGpl } = well
    await watched.room.startBatch({ vesselId, litres, cystsG: cystsGpl * litres, salinityGpl })
    const world = new World(scenario, { seed: Math.floor(random.uniform() * 2 ** 31), lot: 'drawn' })
    vessels.push({ world, device, prefix, silentFromH: struck && failure.silences ? faultH : Infinity })
  }
  const devices = [...new Set(vessels.map(({ device }) => device))]
  const steps = Math.round(((faultH + (failure.hours ?? 2)) * 3600) / stepS)
  for (let step = 1; step <= steps; step++) {
    watched.nowMs = startMs + step * stepS * 1000
    const hours = (watched.nowMs - startMs) / HOUR_MS
    for (const { world } of vessels) world.step(stepS)
    for (const device of devices) {
      const heard = vessels.filter(vessel => vessel.device === device && hours < vessel.silentFromH)
      if (heard.length === 0) continue
      watched.send(
        device,
        heard.map(({ world, prefix }) => ({ prefix, of: world.measure() })),
      )
    }
    watched.tick()
    await watched.breathe()
  }
  const times = watched.calls.map(({ atMs }) => atMs)
  const most = Math.max(
    0,
    ...times.map(from => times.filter(to => to >= from && to < from + WINDOW_MS).length),
  )
  return { name: failure.name, seed, atMs: startMs + faultH * HOUR_MS, calls: watched.calls, most }
}
