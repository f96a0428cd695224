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
    const lastedMs = first === undefined ? 0 : nowMs - first.sinceMs
    const since = lastedMs < LEAST_TOLD_MS ? '' : `, for ${duration(lastedMs)} now`
    const detail = first?.detail ?? ''
    if (messages.length === 0) {
      const action = wrongFirst('The heartbeat', detail)
      return {
        measured: `The heartbeat does not reach its watcher${since}: if this machine died now, nobody would be told.${besides(action, detail)}`,
        action,
        then: 'Set it right and try it there. Until it gets through, look at this screen now and then.',
      }
    }
    const action = wrongFirst(WAY[first?.channel ?? ''] ?? 'A message', detail)
    return {
      measured: `Messages by ${listed(messages.map(({ channel }) => BY[channel] ?? channel))} do not get through${since}: an alarm might reach nobody.${besides(action, detail)}`,
      action,
      then: 'Set it right and send a test message there. Until it gets through, keep this screen open, or have another way to be called.',
    }
  },
}

const WAY: Readonly<Record<string, string>> = {
  email: 'E-mail',
  webhook: 'A webhook',
  push: 'A notification',
}
const BY: Readonly<Record<string, string>> = { email: 'e-mail', push: 'notification' }
/** What has only begun to fail has lasted for no time that is worth a word, ms. */
const LEAST_TOLD_MS = 60_000
/** As much of an action as is read at arm's length. */
const ACTION_LENGTH = 60

/** What is wrong, then where to mend it, as far as there is room for it. */
function wrongFirst(way: string, detail: string): string {
  const why = detail.replace(/^[A-Z](?=[a-z ])/, first => first.toLowerCase()).replace(/\.$/, '')
  const words = [`${way} fails: ${why}. See Settings.`, `${way} fails: ${why}.`]
  return (
    (why === '' ? [] : words).find(({ length }) => length <= ACTION_LENGTH) ??
    `${way} fails. See why under Settings.`
  )
}

/** Why, where the action had no room for it. */
const besides = (action: string, detail: string): string =>
  detail === '' || action.includes(':') ? '' : ` Why: ${detail.replace(/\.$/, '')}.`
