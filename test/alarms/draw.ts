import type { Random } from '../../sim/random.ts'
import { PLAIN, type Scenario } from '../../sim/scenario.ts'

export const between = (random: Random, low: number, high: number): number =>
  low + (high - low) * random.uniform()
export const oneOf = <T>(random: Random, of: readonly T[]): T => {
  const picked = of[Math.floor(random.uniform() * of.length)]
  if (picked === undefined) throw new RangeError('Cannot draw: there is nothing to draw from')
  return picked
}

/** A well vessel in some room: noise, doors, day and night, a lamp that holds it where a keeper would. */
export function drawHealthy(random: Random): { scenario: Scenario; probeOffsetC: number } {
  const swingC = between(random, 0.2, 1.5)
  const probeOffsetC = between(random, -0.3, 0.3)
  const meanC = between(random, 17, 23.5)
  // What the probe shows stays inside the limits at the warmest and the coldest hour: else it is not well.
  const highest = 28.7 - swingC - Math.max(probeOffsetC, 0)
  const lowest = 25.2 + swingC - Math.min(probeOffsetC, 0)
  const lampHoldsC = lowest < highest ? between(random, lowest, Math.min(highest, 28)) : 27
  return {
    probeOffsetC,
    scenario: {
      ...PLAIN,
      name: 'well',
      litres: oneOf(random, [0.5, 1, 1, 2, 2, 3, 5, 10]),
      salinityGpl: between(random, 20, 35),
      cystsGpl: between(random, 1, 3),
      startC: between(random, 22, 27.5),
      room: {
        meanC,
        swingC,
        draughtsPerDay: between(random, 0, 8),
        startHour: between(random, 0, 24),
        humidity: between(random, 0.35, 0.7),
      },
      lampHoldsC,
      airVvm: between(random, 0.25, 0.8),
      levelSensor: random.uniform() < 0.5,
    },
  }
}
