import { createJudge } from '../../broker/intake/quality.ts'
import { Quality, Quantity } from '../../broker/intake/reading.ts'
import type { Measured } from '../../broker/diagnosis/contract.ts'
import type { Sample } from '../../broker/store/contract.ts'
import { World } from '../../sim/world.ts'
import type { Setting } from './setting.ts'

export const HOUR_MS = 3_600_000
/** Between readings, and the world's step, s. */
const STEP_S = 120
const TRUTH_EVERY_STEPS = 5
const LONGEST_H = 96

/** What was really in the vessel at one moment, as shares of all its cysts. */
export interface Hidden {
  readonly atH: number
  readonly nauplii: number
  readonly umbrella: number
  /** Shut, the dead ones among them: under the lens they look alike. */
  readonly embryos: number
  readonly food: number
  /** All of the water's mean. */
  readonly waterC: number
}

export interface Played {
  readonly setting: Setting
  readonly startedAtMs: number
  readonly readings: Partial<Record<Measured, Sample[]>>
  readonly hidden: readonly Hidden[]
  readonly t90H: number | null
  /** When there was most food, and how much of it. */
  readonly bestH: number
  readonly bestFood: number
}

export function playSetting(setting: Setting, startedAtMs: number, seed: number): Played {
  const { scenario, lot, probeOffsetC } = setting
  const judge = createJudge().of('bench')
  const readings = { water: [], room: [], air: [], light: [], level: [], 'upper-water': [] } as Record<
    Measured,
    Sample[]
  >
  const take = (world: World, atMs: number) => {
    const { waterC, roomC, airLpm, lightLx } = world.measure()
    const of = (channel: Measured, quantity: Quantity, value: number) => {
      readings[channel].push({ atMs, value, quality: judge.judge(channel, quantity, value, atMs) })
    }
    of('water', Quantity.water, waterC)
    of('room', Quantity.room, roomC)
    readings.air.push({ atMs, value: airLpm, quality: Quality.good })
    readings.light.push({ atMs, value: lightLx, quality: Quality.good })
    if (setting.hasUpperProbe) of('upper-water', Quantity.water, world.measureUpper())
  }
  if (setting.stoodH > 0) {
    const stood = {
      ...scenario,
      startC: scenario.room.meanC - 0.4,
      lamp: [{ atH: 0, to: 0 }],
      cystsGpl: 0.001,
      pump: [],
      probe: [],
      room: { ...scenario.room, startHour: (scenario.room.startHour - setting.stoodH + 24) % 24 },
    }
    const world = new World(stood, { seed, lot, probeOffsetC })
    for (let s = 0; s < setting.stoodH * 3600; s += STEP_S) {
      world.step(STEP_S)
      take(world, startedAtMs - setting.stoodH * HOUR_MS + s * 1000)
    }
  }
  const world = new World(scenario, { seed, lot, probeOffsetC })
  const coolest = scenario.lamp.reduce(
    (least, { to }) =>
      Math.min(least, scenario.room.meanC + to * (scenario.lampHoldsC - scenario.room.meanC)),
    scenario.lampHoldsC,
  )
  const hours = Math.min(LONGEST_H, 1.45 * lot.medianH * (14 / Math.max(coolest - 12, 6)) + 36)
  const hidden: Hidden[] = []
  const { silent } = setting
  for (let step = 1; step <= Math.round((hours * 3600) / STEP_S); step++) {
    world.step(STEP_S)
    const atH = (step * STEP_S) / 3600
    if (silent === null || atH < silent.fromH || atH > silent.toH) take(world, startedAtMs + atH * HOUR_MS)
    if (step % TRUTH_EVERY_STEPS === 0) hidden.push(hiddenOf(atH, world))
  }
  const best = hidden.reduce((a, b) => (b.food > a.food ? b : a))
  return {
    setting,
    startedAtMs,
    readings,
    hidden,
    t90H: world.population.hatchHour(0.9),
    bestH: best.atH,
    bestFood: best.food,
  }
}

function hiddenOf(atH: number, { population, water }: World): Hidden {
  const { sample, umbrella, instarI, instarII, hatchedEver, energyLeft } = population.census()
  const nauplii = (instarI + instarII) / sample
  return {
    atH,
    nauplii,
    umbrella: umbrella / sample,
    embryos: (sample - hatchedEver - umbrella) / sample,
    food: nauplii * (energyLeft ?? 0),
    waterC: water.meanC,
  }
}

export function hiddenAt({ hidden }: Played, atH: number): Hidden {
  const at = Math.round((atH * 3600) / (STEP_S * TRUTH_EVERY_STEPS)) - 1
  const found = hidden[Math.min(Math.max(at, 0), hidden.length - 1)]
  if (!found) throw new Error('Cannot look into the vessel: nothing was played')
  return found
}
