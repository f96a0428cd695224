import { CALIBRATED_LOT } from '../../sim/biology/lot.ts'
import { ProbeFault } from '../../sim/hardware/temperature-probe.ts'
import type { Random } from '../../sim/random.ts'
import { between, oneOf } from '../alarms/draw.ts'
import type { Setting } from './setting.ts'

/** What is put into a simulated batch, named as the diagnosis should name it. */
export const FAULTS = [
  'too-hot',
  'too-cool',
  'air-lost',
  'dark-at-first',
  'too-dense',
  'salinity-off',
  'ph-off',
  'harvested-early',
  'harvested-late',
  'weak-lot',
  'stratified',
  'probe-wrong',
  'probe-out-of-water',
  'readings-missing',
] as const
export type Fault = (typeof FAULTS)[number]

/** From hardly worth a word to disastrous. */
export const STRENGTHS = [0, 1, 2, 3] as const
export type Strength = (typeof STRENGTHS)[number]

/** What spoils the record: it takes nothing from the hatch, so what matters of it is said here and not measured. */
export const OF_RECORD: readonly Fault[] = ['probe-wrong', 'probe-out-of-water', 'readings-missing']

/** Two that cannot be put into one batch, or that are one thing. */
export function canBePaired(a: Fault, b: Fault): boolean {
  const together = (x: Fault, y: Fault) => (a === x && b === y) || (a === y && b === x)
  return (
    a !== b &&
    !together('harvested-early', 'harvested-late') &&
    // Both turn the one lamp.
    !together('too-hot', 'too-cool') &&
    !together('probe-wrong', 'probe-out-of-water') &&
    !together('probe-wrong', 'readings-missing') &&
    !together('probe-out-of-water', 'readings-missing')
  )
}

interface Put {
  readonly setting: Setting
  /** Of those that spoil the record: whether it matters. */
  readonly matters?: boolean
}

/** Puts a fault into a batch that would have been well. `bestH`: when that one would have been best to harvest. */
export function put(fault: Fault, strength: Strength, setting: Setting, bestH: number, random: Random): Put {
  const { scenario } = setting
  const level = <T>(of: readonly [T, T, T, T]): T => of[strength]
  const within = (low: number, high: number) => between(random, low, high)
  const as = (change: Partial<typeof scenario>): Put => ({
    setting: { ...setting, scenario: { ...scenario, ...change } },
  })
  const { lampHoldsC, room } = scenario
  /** What the lamp must give to hold the water at another temperature. */
  const lampFor = (waterC: number) =>
    Math.max(0, (waterC - room.meanC) / Math.max(lampHoldsC - room.meanC, 0.5))
  switch (fault) {
    case 'too-hot': {
      const atH = within(4, bestH - 3)
      const to = lampFor(level([30.6, 33.5, 36.5, 39.5] as const) + within(-0.4, 0.8))
      const lasts = within(4, 9)
      return as({ lamp: [...scenario.lamp, { atH, to }, { atH: atH + lasts, to: 1 }] })
    }
    case 'too-cool': {
      const waterC = level([24.3, 22.8, 21.2, 19.6] as const)
      const coolRoom = { ...room, meanC: Math.min(room.meanC, waterC - 2) }
      const inRoom = (targetC: number) =>
        (targetC - coolRoom.meanC) / Math.max(lampHoldsC - coolRoom.meanC, 0.5)
      const atH = random.uniform() < 0.5 ? 0 : within(2, 7)
      return as({ room: coolRoom, lamp: [...scenario.lamp, { atH, to: inRoom(waterC) }] })
    }
    case 'air-lost': {
      const isLate = random.uniform() < 0.5
      const atH = isLate ? bestH - within(1.5, 4) : within(3, 6)
      const hours = isLate ? level([0.25, 0.8, 1.4, 2] as const) : level([1.5, 4, 7, 10] as const)
      const back = Math.min(atH + hours, bestH - 0.4)
      return as({
        pump: [
          { atH, to: within(0, 0.01) },
          { atH: isLate ? back : atH + hours, to: 1 },
        ],
      })
    }
    case 'dark-at-first': {
      const to = level([0.25, 0.1, 0.04, 0] as const)
      const untilH = random.uniform() < 0.5 ? 1000 : within(8, 14)
      return as({
        shade: [
          { atH: 0, to },
          { atH: untilH, to: 1 },
        ],
        lampLx: Math.min(scenario.lampLx, 3000),
      })
    }
    case 'too-dense':
      return as({ cystsGpl: level([6, 7.5, 10.5, 15] as const) * within(0.97, 1.03), airVvm: within(0.6, 1) })
    case 'salinity-off': {
      const salinityGpl =
        random.uniform() < 0.6 ? level([41, 48, 58, 72] as const) : level([4, 2.2, 1, 0.2] as const)
      const asWritten = random.uniform() < 0.5
      const put = as({ salinityGpl })
      return {
        setting: {
          ...put.setting,
          writtenGpl: asWritten ? salinityGpl : within(22, 33),
          measuresSalinity: !asWritten || setting.measuresSalinity,
        },
      }
    }
    case 'ph-off': {
      const put = as({ pH: level([7.85, 7.6, 7.2, 6.7] as const) })
      return { setting: { ...put.setting, measuresPH: true } }
    }
    case 'harvested-early':
      return { setting: { ...setting, harvestShiftH: -level([1.5, 3.5, 5, 7] as const) } }
    case 'harvested-late':
      return { setting: { ...setting, harvestShiftH: level([4, 9, 14, 20] as const) } }
    case 'weak-lot':
      return {
        setting: {
          ...setting,
          lot: { ...setting.lot, viableShare: level([0.47, 0.38, 0.27, 0.15] as const) },
        },
      }
    case 'stratified': {
      const atH = within(1, 5)
      const hours = level([1.5, 4, 8, 1000] as const)
      const put = as({
        deepAir: [
          { atH, to: 0 },
          { atH: atH + hours, to: 1 },
        ],
      })
      return { setting: { ...put.setting, hasUpperProbe: true } }
    }
    case 'probe-wrong': {
      if (random.uniform() < 0.6) {
        const offsetC = level([0.6, 1.2, 1.9, 2.8] as const) * oneOf(random, [-1, 1])
        return { setting: { ...setting, probeOffsetC: offsetC }, matters: Math.abs(offsetC) >= 1 }
      }
      const fromH = within(2, bestH / 2)
      const hours = level([0.4, 2.2, 5, 9] as const)
      const kind = oneOf(random, [
        ProbeFault.disconnected,
        ProbeFault.allZero,
        ProbeFault.frozen,
        ProbeFault.powerOn,
      ])
      const put = as({ probe: [{ fromH, toH: Math.min(fromH + hours, bestH - 1), fault: kind }] })
      return { ...put, matters: hours >= 2 }
    }
    case 'probe-out-of-water': {
      const fromH = within(1, bestH / 2)
      const hours = level([0.6, 2, 5, 10] as const)
      const fault = ProbeFault.outOfWater
      const put = as({ probe: [{ fromH, toH: Math.min(fromH + hours, bestH - 0.5), fault }] })
      return { ...put, matters: hours >= 1.5 }
    }
    case 'readings-missing': {
      const fromH = within(1, bestH / 2)
      const hours = level([1.8, 4.2, 8, 13] as const)
      return {
        setting: { ...setting, silent: { fromH, toH: Math.min(fromH + hours, bestH - 1) } },
        matters: hours >= 4,
      }
    }
  }
}

/** A sound lot for comparison with a weak one. */
export const SOUND_SHARE = CALIBRATED_LOT.viableShare
