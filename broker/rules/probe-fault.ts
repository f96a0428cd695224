import { Quality } from '../intake/reading.ts'
import { Reason, RuleName } from './alarm.ts'
import { Sight } from './condition-timer.ts'
import type { Rule } from './rule.ts'
import { usualRule } from './rule.ts'

const FAULTS: Readonly<Record<Quality, readonly [fault: string, check: string]>> = {
  [Quality.good]: ['gives no number', 'its plug and its device'],
  [Quality.powerOn]: [
    'answers 85 °C (185 °F), which it does after losing its supply',
    'its supply wire and plug for a loose contact',
  ],
  [Quality.disconnected]: ['does not answer', 'its plug, and its cable for a break'],
  [Quality.allZero]: ['answers nothing but zeros', 'its data wire for a short and its plug for water'],
  [Quality.outOfRange]: [
    'gives a temperature that water cannot have',
    'its plug and wires for water and loose contacts',
  ],
  [Quality.frozen]: [
    'has given the very same value for hours',
    'whether its device hangs, by unplugging and plugging in the low-voltage side',
  ],
  [Quality.outOfWater]: [
    'changed faster than water can, as if it hung in the air',
    'that its tip is under water and fixed there',
  ],
  [Quality.reportedFault]: ['cannot be read by its device', 'its plug and cable'],
}

/** The water probe gives no temperature that can be believed. One that hangs in the air answers well: that has its own rule. Watched without a batch too, because heat is. */
export const probeFault: Rule = {
  ...usualRule,
  name: RuleName.probeFault,
  role: 'water',
  batchOnly: false,
  raises: Reason.badQuality,
  clears: Reason.goodAgain,
  see(value, quality) {
    if (quality === Quality.outOfWater) return Sight.inside
    return quality === Quality.good && value !== null && Number.isFinite(value) ? Sight.inside : Sight.beyond
  },
  words({ facts, quality }) {
    const [fault, check] = FAULTS[quality]
    return {
      measured: `The water probe of ${facts.name} ${fault}, so nobody knows whether its water is too hot.`,
      action: 'Put a thermometer in, without reaching into the water.',
      then: `Then check ${check}; pull the mains plugs before you reach into the water.`,
    }
  },
  value: () => null,
  limit: () => null,
}
