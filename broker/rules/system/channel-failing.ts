import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SystemRule } from './contract.ts'
import { listed } from './listed.ts'

/** Among the ways to a person, the one that is not for alarms: the watcher outside, whom the service tells that it is well. */
export const HEARTBEAT = 'heartbeat'

/** A way to a person does not deliver: the next alarm might reach nobody, or nobody might notice that there is none. */
export const channelFailing: SystemRule = {
  name: RuleName.channelFailing,
  raises: Reason.notDelivered,
  clears: Reason.deliveredAgain,
  see: ({ failing }) => (failing.length === 0 ? Sight.inside : Sight.beyond),
  value: ({ failing }) => failing.length,
  limit: () => null,
  words({ failing }, _setting, nowMs) {
    const messages = failing.filter(({ channel }) => channel !== HEARTBEAT)
    const [first] = messages.length === 0 ? failing : messages
    const since = first === undefined ? '' : `, for ${duration(nowMs - first.sinceMs)} now (${first.detail})`
    if (messages.length === 0)
      return {
        measured: `The heartbeat does not reach its watcher${since}: if this machine died now, nobody would be told.`,
        action: 'Try the heartbeat from the settings.',
        then: 'Until it gets through, look at this screen now and then.',
      }
    return {
      measured: `Messages by ${listed(messages.map(({ channel }) => channel))} do not get through${since}: an alarm might reach nobody.`,
      action: 'Send a test message from the settings.',
      then: 'Until it gets through, keep this screen open, or have another way to be called.',
    }
  },
}
