import { Reason, RuleName } from '../alarm.ts'
import { Sight } from '../condition-timer.ts'
import { duration } from '../words.ts'
import type { SystemRule } from './contract.ts'

/** A jump is told of for so long, ms: it happens at once and is over at once, so that nothing else ends it. */
const TOLD_MS = 10 * 60_000

/** The clock of this machine was set while the service ran, by more than the limit, s: times before and after do not agree. */
export const clockJumped: SystemRule = {
  name: RuleName.clockJumped,
  raises: Reason.clockStepped,
  clears: Reason.clockSteady,
  see({ clockJump }, { limit }, nowMs) {
    if (clockJump === null || Math.abs(clockJump.byMs) < limit * 1000) return Sight.inside
    return nowMs - clockJump.atMs < TOLD_MS ? Sight.beyond : Sight.inside
  },
  value: ({ clockJump }) => (clockJump === null ? null : clockJump.byMs / 1000),
  limit: ({ limit }) => limit,
  words({ clockJump }) {
    const byMs = clockJump?.byMs ?? 0
    return {
      measured: `The clock of this machine jumped ${byMs < 0 ? 'back' : 'ahead'} by ${duration(Math.abs(byMs))}: readings, forecasts and silences from before do not fit those after.`,
      action: 'Check this machine’s time, date and time zone.',
      then: 'Let it keep its time from a time server. Starts of batches written down meanwhile may need correcting.',
    }
  },
}
