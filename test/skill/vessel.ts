import type { Random } from '../../sim/random.ts'
import { PLAIN, type Scenario } from '../../sim/scenario.ts'
import { indoorCourse } from './weather.ts'

/** Longest run of a batch, h. */
export const LONGEST_H = 96

const between = (random: Random, low: number, high: number) => low + (high - low) * random.uniform()
const oneOf = <T>(random: Random, of: readonly [T, ...T[]]): T =>
  of[Math.floor(random.uniform() * of.length)] ?? of[0]

export interface DrawnVessel {
  readonly scenario: Scenario
  readonly probeOffsetC: number
  /** Readings that never came, hours since the start. */
  readonly silent: { readonly fromH: number; readonly toH: number } | null
}

/** Some vessel in some room, started at an hour at which people are up. Half of the rooms follow the weather. */
export function drawVessel(random: Random, outdoorC: readonly number[], byWeather: boolean): DrawnVessel {
  const meanC = between(random, 16, 25)
  const startHour = between(random, 7, 22)
  const draughtsPerDay = between(random, 0, 8)
  const fromHour = Math.floor(random.uniform() * 365) * 24 + Math.floor(startHour)
  const lagH = between(random, 6, 20)
  const silentFromH = between(random, 1, 8)
  const scenario: Scenario = {
    ...PLAIN,
    name: byWeather ? 'skill-weather' : 'skill-room',
    litres: oneOf(random, [0.5, 1, 1, 2, 2, 3, 5]),
    salinityGpl: between(random, 20, 35),
    cystsGpl: between(random, 1, 3),
    startC: between(random, 20, 28),
    room: {
      meanC,
      swingC: byWeather ? 0.2 : between(random, 0.3, 1.5),
      draughtsPerDay,
      startHour,
      humidity: between(random, 0.35, 0.7),
    },
    lampHoldsC: Math.max(between(random, 24, 28.5), meanC),
    airVvm: between(random, 0.3, 0.8),
    roomMean: byWeather ? indoorCourse(outdoorC, { fromHour, hours: LONGEST_H, meanC, lagH }) : [],
  }
  return {
    scenario,
    probeOffsetC: between(random, -0.5, 0.5),
    silent:
      random.uniform() < 0.2 ? { fromH: silentFromH, toH: silentFromH + between(random, 0.5, 3) } : null,
  }
}
