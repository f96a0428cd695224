import { html, nothing } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { exactly } from '../words/time.ts'

interface PuttingOff {
  readonly busy: boolean
  /** For how long any alarm may be put off at most, min. */
  readonly limitMin: number
  readonly act: (path: string, body: unknown) => void
  readonly takeOut: () => void
}

/** What may cost the batch within minutes is put off for this at most, min: `broker/rules/shelving.ts`. */
const MOST_CRITICAL_MIN = 60

/** `Until it is over, at most 1 h`: whatever is over or not, it comes back then. `limitMin`: what was set for all. */
function untilOver({ priority }: Alarm, limitMin: number): string {
  const mostMin = priority === 'critical' ? Math.min(MOST_CRITICAL_MIN, limitMin) : limitMin
  return `Until it is over, at most ${exactly(mostMin * 60_000)}`
}

/** For how long an alarm is put off, a button each; its path and what is sent there are the broker's. */
export function putOffChoices(alarm: Alarm, { busy, limitMin, act, takeOut }: PuttingOff) {
  const path = `/alarms/${encodeURIComponent(alarm.id)}/shelve`
  const vessel = `/vessels/${encodeURIComponent(alarm.vesselId ?? '')}`
  const choice = (words: string, to: string, body: unknown) =>
    html`<button ?disabled=${busy} @click=${() => act(to, body)}>${words}</button>`
  return html`<div class="choices" role="group" aria-label="Put off for how long">
    ${choice('15 min', path, { minutes: 15 })} ${choice('1 h', path, { minutes: 60 })}
    ${alarm.clearedAt === null ? choice(untilOver(alarm, limitMin), path, { oneShot: true }) : nothing}
    ${
      alarm.rule === 'air-lost' || alarm.rule === 'air-fading'
        ? choice('I am harvesting: hush air and light 30 min', `${vessel}/suppress`, {
            reason: 'harvest',
            minutes: 30,
          })
        : nothing
    }
    ${alarm.vesselId === null ? nothing : html`<button @click=${takeOut}>Take out of service…</button>`}
  </div>`
}
