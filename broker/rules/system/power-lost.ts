import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SystemRule } from './contract.ts'
import { listed } from './listed.ts'

/** Two devices that fall silent at the same moment do not fail by themselves: their power or their network does. */
const AT_LEAST = 2

/** Several devices have been silent since the same moment for longer than the limit, s. */
export const powerLost: SystemRule = {
  name: RuleName.powerLost,
  raises: Reason.notHeard,
  clears: Reason.heardAgain,
  see({ silentTogether }, { limit }, nowMs) {
    if (silentTogether === null || silentTogether.devices.length < AT_LEAST) return Sight.inside
    return nowMs - silentTogether.sinceMs >= limit * 1000 ? Sight.beyond : Sight.between
  },
  value: ({ silentTogether }) => silentTogether?.devices.length ?? null,
  limit: () => null,
  words({ silentTogether }, _setting, nowMs) {
    const { devices = [], vessels = [], sinceMs = nowMs, heardStill = 0 } = silentTogether ?? {}
    const all = heardStill === 0 ? 'All ' : ''
    const who = `${all}${devices.length} devices${vessels.length === 0 ? '' : ` (on ${listed(vessels)})`}`
    return {
      measured: `${who} fell silent at the same moment, ${duration(nowMs - sinceMs)} ago: their power or their network is gone, and perhaps air, light and warmth with it.`,
      action: 'Look at the fish room: its power, then its air.',
      then: 'Without power get air going by battery or by hand first. Reset a tripped switch once only, with dry hands, and find what was wet. With power, look at the network.',
    }
  },
}
