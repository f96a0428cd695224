import { airFading } from './air-fading.ts'
import { airLost } from './air-lost.ts'
import { deviceSilent } from './device-silent.ts'
import { harvestMissed } from './harvest-missed.ts'
import { lightOut } from './light-out.ts'
import { probeFault } from './probe-fault.ts'
import { probeOutOfWater } from './probe-out-of-water.ts'
import type { Rule } from './rule.ts'
import { waterHeadingHot } from './water-heading-hot.ts'
import { waterLevel } from './water-level.ts'
import { waterTooCool } from './water-too-cool.ts'
import { waterTooHot } from './water-too-hot.ts'

/** Every rule of a vessel, in the order in which alarms of the same moment are told: what may cost the batch first. */
export const ALL_RULES: readonly Rule[] = [
  waterTooHot,
  airLost,
  waterHeadingHot,
  airFading,
  waterLevel,
  probeOutOfWater,
  probeFault,
  deviceSilent,
  waterTooCool,
  lightOut,
  harvestMissed,
]
