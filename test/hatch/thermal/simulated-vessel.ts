// Vessels of the simulator, drawn by seed and stepped here by hand, so that a run can end where a test has seen enough and a
// heater can be switched by what is measured.
import type { WaterSample } from '../../../broker/hatch/contract.ts'
import type { Turn } from '../../../sim/hardware/course.ts'
import { seededRandom, type Random } from '../../../sim/random.ts'
import { PLAIN, type Scenario } from '../../../sim/scenario.ts'
import { World } from '../../../sim/world.ts'

export const START = 1_764_000_000_000
export const HOUR = 3_600_000
export const LIMIT_C = 29.4
const EVERY_S = 10

export interface Drawn {
  readonly between: (low: number, high: number) => number
  readonly random: Random
  readonly offsetC: number
  readonly scenario: Scenario
}

/** A vessel of 0.7 to 5 L in a room of 18 to 24 °C, with its own air, probe and hour of the day. */
export function drawn(seed: number): Drawn {
  const random = seededRandom(seed * 7919)
  const between = (low: number, high: number) => low + (high - low) * random.uniform()
  const room = { ...PLAIN.room, meanC: between(18, 24), startHour: between(0, 24) }
  return {
    between,
    random,
    scenario: { ...PLAIN, room, litres: between(0.7, 5), airVvm: between(0.2, 1) },
    offsetC: between(-0.2, 0.2),
  }
}

export interface Seen extends WaterSample {
  readonly hour: number
  /** What the probe would say without scatter, lag and steps. */
  readonly trueC: number
}

/**
 * Samples each ten seconds, one after the other. Whoever takes them may put turns into `lamp`, which the world follows, and may stop.
 */
export function* watched(
  scenario: Scenario,
  {
    seed,
    hours,
    offsetC,
    lamp = [],
  }: { seed: number; hours: number; offsetC: number; lamp?: readonly Turn[] },
): Generator<Seen> {
  const world = new World({ ...scenario, lamp }, { seed, probeOffsetC: offsetC })
  for (let second = EVERY_S; second <= hours * 3600; second += EVERY_S) {
    world.step(EVERY_S)
    yield {
      atMs: START + second * 1000,
      hour: second / 3600,
      waterC: world.measure().waterC,
      trueC: world.water.bottomC + offsetC,
    }
  }
}
