import { RuleName } from '../../broker/rules/alarm.ts'
import { ProbeFault } from '../../sim/hardware/temperature-probe.ts'
import { seededRandom, type Random } from '../../sim/random.ts'
import type { Scenario } from '../../sim/scenario.ts'
import { World } from '../../sim/world.ts'
import { between, drawHealthy, oneOf } from './draw.ts'
import { HOUR_MS, WatchedRoom, type Call } from './watched-room.ts'

/** The limit that the person set, °C: what a runaway is to be called before. */
export const LIMIT_C = 29.4

const R = RuleName

/** What may befall a vessel. */
export const FAULTS = [
  'lamp-runaway',
  'lamp-dead',
  'cold-room',
  'pump-stopped',
  'pump-fading',
  'leak',
  'probe-unplugged',
  'probe-out-of-water',
  'network-out',
  'power-lost',
] as const
export type Fault = (typeof FAULTS)[number]

/** Which calls name it. */
const NAMED_BY: Readonly<Record<Fault, readonly string[]>> = {
  'lamp-runaway': [R.waterHeadingHot, R.waterTooHot],
  'lamp-dead': [R.lightOut, R.waterTooCool],
  'cold-room': [R.waterTooCool],
  'pump-stopped': [R.airLost],
  'pump-fading': [R.airFading, R.airLost],
  leak: [R.waterLevel],
  'probe-unplugged': [R.probeFault],
  'probe-out-of-water': [R.probeOutOfWater],
  'network-out': [R.deviceSilent],
  'power-lost': [R.powerLost],
}

/** Whether it harms by itself, and not by what it hides. */
const MAY_HARM: Readonly<Record<Fault, boolean>> = {
  'lamp-runaway': true,
  'lamp-dead': true,
  'cold-room': true,
  'pump-stopped': true,
  'pump-fading': true,
  leak: true,
  'probe-unplugged': false,
  'probe-out-of-water': false,
  'network-out': false,
  'power-lost': true,
}

/** One seeded fault, played out. Times are Unix ms; `null` for what did not come. */
export interface Played {
  readonly fault: Fault
  readonly seed: number
  readonly beganAtMs: number
  /** The first call that names it. */
  readonly calledAtMs: number | null
  readonly by: string | null
  /** When it does harm, or crosses the limit that the person set; `null` when it did not within the run. */
  readonly damageAtMs: number | null
  /** Calls before it began: for nothing. */
  readonly before: readonly Call[]
  readonly calls: readonly Call[]
}

interface Course {
  readonly scenario: Scenario
  readonly faultH: number
  readonly hours: number
  readonly vessels: number
  /** When every device falls silent. */
  readonly silentFromH: number
}

/** Plays a fault until what it does is done. */
export async function playFault(fault: Fault, seed: number, stepS = 30): Promise<Played> {
  const random = seededRandom(seed).fork(fault)
  const { scenario: well, probeOffsetC } = drawHealthy(random.fork('vessel'))
  const course = courseOf(fault, well, random.fork('fault'))
  const watched = await WatchedRoom.open()
  const startMs = watched.nowMs
  const worlds: { world: World; device: string }[] = []
  for (let at = 0; at < course.vessels; at++) {
    const device = `bench-${at}`
    const { litres, cystsGpl, salinityGpl } = course.scenario
    const vesselId = await watched.addVessel(`Cone ${at + 1}`, course.scenario, device)
    await watched.room.startBatch({ vesselId, litres, cystsG: cystsGpl * litres, salinityGpl })
    const worldSeed = Math.floor(random.uniform() * 2 ** 31)
    worlds.push({
      world: new World(course.scenario, { seed: worldSeed, lot: 'drawn', probeOffsetC }),
      device,
    })
  }
  const beganAtMs = startMs + course.faultH * HOUR_MS
  const damage = damageOf(fault, beganAtMs)
  let damageAtMs: number | null = null
  const steps = Math.round((course.hours * 3600) / stepS)
  for (let step = 1; step <= steps; step++) {
    watched.nowMs = startMs + step * stepS * 1000
    for (const { world, device } of worlds) {
      world.step(stepS)
      const measured = world.measure()
      if ((watched.nowMs - startMs) / HOUR_MS < course.silentFromH)
        watched.send(device, [{ prefix: '', of: measured }])
    }
    watched.tick()
    await watched.breathe()
    const first = worlds[0]!.world
    if (damageAtMs === null && watched.nowMs > beganAtMs && damage(first, watched.nowMs))
      damageAtMs = watched.nowMs
    const isCalled = watched.calls.some(({ rule }) => NAMED_BY[fault].includes(rule))
    if (isCalled && (damageAtMs !== null || !MAY_HARM[fault])) break
  }
  const call = watched.calls.find(({ rule, atMs }) => atMs >= beganAtMs && NAMED_BY[fault].includes(rule))
  return {
    fault,
    seed,
    beganAtMs,
    calledAtMs: call?.atMs ?? null,
    by: call?.rule ?? null,
    damageAtMs,
    before: watched.calls.filter(({ atMs }) => atMs < beganAtMs),
    calls: watched.calls,
  }
}

/** When and how it goes wrong: hours since the cysts were poured in. */
function courseOf(fault: Fault, well: Scenario, random: Random): Course {
  const usual = { hours: 30, vessels: 1, silentFromH: Infinity }
  const within = (from: number, to: number) => between(random, from, to)
  switch (fault) {
    case 'lamp-runaway': {
      const faultH = within(3, 18)
      // A dimmer that sticks, or a lamp that slid nearer: from what just crosses the limit to three times the heat.
      const { lampHoldsC, room } = well
      const crossing = 1 + (LIMIT_C + 1.2 - lampHoldsC) / Math.max(lampHoldsC - room.meanC, 1)
      const to = Math.max(crossing, within(1.4, 3))
      return { ...usual, faultH, hours: faultH + 8, scenario: { ...well, lamp: [{ atH: faultH, to }] } }
    }
    case 'lamp-dead': {
      const faultH = within(2, 14)
      const room = { ...well.room, meanC: Math.min(well.room.meanC, 21) }
      const scenario = { ...well, room, lamp: [{ atH: faultH, to: 0 }] }
      return { ...usual, faultH, scenario }
    }
    case 'cold-room': {
      const faultH = within(2, 10)
      const roomMean = [{ atH: faultH, to: well.room.meanC - within(8, 12), overH: within(2, 5) }]
      return { ...usual, faultH, scenario: { ...well, roomMean } }
    }
    case 'pump-stopped': {
      const faultH = within(3, 26)
      return { ...usual, faultH, hours: faultH + 6, scenario: { ...well, pump: [{ atH: faultH, to: 0 }] } }
    }
    case 'pump-fading': {
      const faultH = within(3, 14)
      const pump = [{ atH: faultH, to: within(0, 0.08), overH: within(2, 14) }]
      return { ...usual, faultH, hours: 36, scenario: { ...well, pump } }
    }
    case 'leak': {
      const faultH = within(2, 20)
      // From a drip that empties it in half a day to a valve that was knocked open.
      const litresPerH = well.litres / within(0.2, 12)
      const leaks = [{ fromH: faultH, toH: 1000, litresPerH }]
      return { ...usual, faultH, hours: faultH + 13, scenario: { ...well, levelSensor: true, leaks } }
    }
    case 'probe-unplugged': {
      const faultH = within(2, 20)
      const kind = oneOf(random, [ProbeFault.disconnected, ProbeFault.allZero, ProbeFault.powerOn])
      const probe = [{ fromH: faultH, toH: 1000, fault: kind }]
      return { ...usual, faultH, hours: faultH + 1, scenario: { ...well, probe } }
    }
    case 'probe-out-of-water': {
      const faultH = within(2, 20)
      // In a room as warm as the water it would measure much the same, and nobody could tell.
      const room = {
        ...well.room,
        meanC: Math.min(well.room.meanC, 20),
        swingC: Math.min(well.room.swingC, 1),
      }
      const probe = [{ fromH: faultH, toH: 1000, fault: ProbeFault.outOfWater }]
      return { ...usual, faultH, hours: faultH + 1, scenario: { ...well, room, probe } }
    }
    case 'network-out': {
      const faultH = within(2, 20)
      return { ...usual, faultH, hours: faultH + 1, silentFromH: faultH, scenario: well }
    }
    case 'power-lost': {
      const faultH = within(2, 24)
      const off = [{ atH: faultH, to: 0 }]
      const scenario = { ...well, lamp: off, pump: off }
      return { faultH, hours: faultH + 6, vessels: 3, silentFromH: faultH, scenario }
    }
  }
}

/** Says at each step after the fault began whether its harm is there now. */
function damageOf(fault: Fault, beganAtMs: number): (world: World, atMs: number) => boolean {
  switch (fault) {
    case 'lamp-runaway':
      return world => world.water.bottomC >= LIMIT_C
    case 'lamp-dead':
    case 'cold-room': {
      // An hour of harvest lost: degree-hours above 11 °C, against water that had stayed as it was.
      let wasC: number | null = null
      let lostH = 0
      let lastMs = beganAtMs
      return (world, atMs) => {
        wasC ??= world.water.meanC
        const hours = (atMs - lastMs) / HOUR_MS
        lastMs = atMs
        lostH += (hours * Math.max(0, wasC - world.water.meanC)) / (wasC - 11)
        return lostH >= 1
      }
    }
    case 'leak':
      return world => world.water.keptShare < 0.5
    case 'pump-fading':
      // Less than what keeps cysts in suspension: the air-lost rule's own limit.
      return world => world.airLpm / world.water.litres < 0.05
    case 'pump-stopped':
    case 'power-lost':
      // From memory: no published lethal level was found.
      return world => Math.min(world.water.bottomOxygenMgpl, world.water.topOxygenMgpl) < 2
    case 'probe-unplugged':
    case 'probe-out-of-water':
    case 'network-out':
      return () => false
  }
}
