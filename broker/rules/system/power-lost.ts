import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SilentTogether, SystemRule } from './contract.ts'
import { listed } from './listed.ts'

/** Two devices that fall silent at the same moment do not fail by themselves: their power or their network does. */
const AT_LEAST = 2

/** Several devices have been silent since the same moment for longer than the limit, s. */
export const powerLost: SystemRule = {
  name: RuleName.powerLost,
  raises: Reason.notHeard,
  clears: Reason.heardAgain,
  see({ silentTogether }, { limit }, nowMs) {
    const [first] = silentTogether?.moments ?? []
    if (silentTogether === null || first === undefined || silentTogether.silentStill < AT_LEAST)
      return Sight.inside
    return nowMs - first.sinceMs >= limit * 1000 ? Sight.beyond : Sight.between
  },
  value: ({ silentTogether }) => silentTogether?.silentStill ?? null,
  limit: () => null,
  takes: ({ silentTogether }) => silentTogether?.vessels.length ?? 0,
  about: ({ silentTogether }) => silentTogether?.moments ?? [],
  words: ({ silentTogether }, _setting, nowMs) => ({
    measured: `${silentTogether === null ? 'Several devices fell silent at the same moment' : who(silentTogether, nowMs)}: their power or their network is gone, and perhaps air, light and warmth with it.`,
    action: 'Look at the fish room: its power, then its air.',
    then: 'Without power get air going by battery or by hand first. Reset a tripped switch once only, with dry hands, and find what was wet. With power, look at the network.',
  }),
}

/** `All 12 devices (on Cone 1, Cone 2, Cone 3 and 9 more) fell silent at the same moment, 1 min 40 s ago`. */
function who({ moments, silentStill, vessels, heardStill }: SilentTogether, nowMs: number): string {
  const fell = moments.reduce((sum, { devices }) => sum + devices.length, 0)
  const last = moments.at(-1)
  const ago = `${duration(nowMs - (last?.sinceMs ?? nowMs))} ago`
  const on = vessels.length === 0 ? '' : ` (on ${listed(vessels)})`
  const isAll = heardStill === 0 && silentStill === fell
  if (moments.length === 1 && last?.atStart === true) {
    const unheard = `heard since this service began, ${ago}`
    if (isAll) return `None of the ${fell} devices${on} was ${unheard}`
    return silentStill === fell
      ? `${fell} devices${on} were not ${unheard}`
      : `${silentStill} of ${fell} devices${on} were not ${unheard}`
  }
  const when =
    moments.length === 1
      ? `fell silent at the same moment, ${ago}`
      : `fell silent, the last ${last?.devices.length ?? 0} of them at the same moment, ${ago}`
  return silentStill === fell
    ? `${isAll ? 'All ' : ''}${fell} devices${on} ${when}`
    : `${fell} devices ${when}, and ${silentStill} of them${on} are silent still`
}
