import { airLost } from './air-lost.ts'
import { deviceSilent } from './device-silent.ts'
import { lightOut } from './light-out.ts'
import { probeFault } from './probe-fault.ts'
import type { Rule } from './rule.ts'
import { waterTooCool } from './water-too-cool.ts'
import { waterTooHot } from './water-too-hot.ts'

/** Every rule, in the order in which alarms of the same moment are told: what may cost the batch first. */
export const ALL_RULES: readonly Rule[] = [
  waterTooHot,
  airLost,
  probeFault,
  deviceSilent,
  waterTooCool,
  lightOut,
]
