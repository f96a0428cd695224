import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SystemRule } from './contract.ts'
import { listed } from './listed.ts'

/** A way to a person does not deliver: the next alarm might reach nobody. */
export const channelFailing: SystemRule = {
  name: RuleName.channelFailing,
  raises: Reason.notDelivered,
  clears: Reason.deliveredAgain,
  see: ({ failing }) => (failing.length === 0 ? Sight.inside : Sight.beyond),
  value: ({ failing }) => failing.length,
  limit: () => null,
  words({ failing }, _setting, nowMs) {
    const [first] = failing
    const since = first === undefined ? '' : `, for ${duration(nowMs - first.sinceMs)} now (${first.detail})`
    return {
      measured: `Messages by ${listed(failing.map(({ channel }) => channel))} do not get through${since}: an alarm might reach nobody.`,
      action: 'Send a test message from the settings.',
      then: 'Until it gets through, keep this screen open, or have another way to be called.',
    }
  },
}
