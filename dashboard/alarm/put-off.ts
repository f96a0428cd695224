import { html, nothing } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'

interface PuttingOff {
  readonly busy: boolean
  readonly act: (path: string, body: unknown) => void
  readonly takeOut: () => void
}

/** For how long an alarm is put off, a button each; its path and what is sent there are the broker's. */
export function putOffChoices(alarm: Alarm, { busy, act, takeOut }: PuttingOff) {
  const path = `/alarms/${encodeURIComponent(alarm.id)}/shelve`
  const vessel = `/vessels/${encodeURIComponent(alarm.vesselId ?? '')}`
  const choice = (words: string, to: string, body: unknown) =>
    html`<button ?disabled=${busy} @click=${() => act(to, body)}>${words}</button>`
  return html`<div class="choices" role="group" aria-label="Put off for how long">
    ${choice('15 min', path, { minutes: 15 })} ${choice('1 h', path, { minutes: 60 })}
    ${alarm.clearedAt === null ? choice('Until it is over', path, { oneShot: true }) : nothing}
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
