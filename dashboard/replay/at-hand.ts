import { css, html, LitElement, nothing } from 'lit'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import '../vessel/cone.ts'
import { prioritySign } from '../vessel/marks.ts'
import { alarmWord } from '../words/alarm.ts'
import { moment } from '../words/time.ts'
import { alarmsThen } from './alarms-then.ts'
import { pictureThen, vesselThen } from './picture-then.ts'
import { type Recording, saidAt } from './recording.ts'
import { outThen, saidText, sinceStart } from './words.ts'

/** The vessel at the moment in small, beside the handle: what plays is seen wherever the page has been scrolled to. */
export class AtHand extends LitElement {
  static override properties = {
    recording: { attribute: false },
    settings: { attribute: false },
    atMs: { attribute: false },
    nowMs: { attribute: false },
  }
  declare recording: Recording | null
  declare settings: Settings | null
  declare atMs: number
  declare nowMs: number

  constructor() {
    super()
    this.recording = null
    this.settings = null
    this.atMs = 0
    this.nowMs = 0
  }

  static override styles = [
    shared,
    css`
      .small {
        display: grid;
        grid-template-columns: 52px minmax(0, 1fr);
        gap: 0 12px;
        align-items: center;
        font-variant-numeric: tabular-nums;
        /* As high with an alarm as without one: the handle below must not move under the thumb. */
        min-height: 78px;
      }
      bw-cone {
        width: 52px;
      }
      p {
        overflow-wrap: anywhere;
        line-height: 1.3;
      }
      .alarm {
        display: flex;
        gap: 6px;
        align-items: center;
        font-weight: 650;
      }
      .alarm svg {
        flex: none;
      }
      .critical svg {
        color: var(--critical);
        --sign-cut: var(--on-critical);
      }
      .high svg {
        color: var(--high);
        --sign-cut: var(--on-high);
      }
      .low svg {
        color: var(--low);
        --sign-cut: var(--on-low);
      }
    `,
  ]

  override render() {
    const { recording, settings, atMs, nowMs } = this
    if (!recording || !settings) return nothing
    const alarms = alarmsThen(recording.replay.alarms, atMs)
    const picture = pictureThen(recording, vesselThen(recording, atMs), alarms, settings, atMs)
    const [first, ...others] = alarms
    const water = saidText(
      'water',
      saidAt(recording.channels.water, atMs),
      atMs,
      settings.temperatureUnit,
      true,
    )
    return html`<div class="small">
      <bw-cone .picture=${picture}></bw-cone>
      <div>
        <p>
          <strong>${moment(atMs, nowMs, zone)}</strong>,
          <span class="soft">${sinceStart(atMs - recording.fromMs)}</span>
        </p>
        <p>Water ${water}; ${outThen(recording, atMs, true)}</p>
        ${
          first
            ? html`<p class="alarm ${first.priority}">
                ${prioritySign(first.priority, 20)}
                ${alarmWord(first)}${others.length > 0 ? `, and ${others.length} more` : ''}
              </p>`
            : nothing
        }
      </div>
    </div>`
  }
}
customElements.define('bw-at-hand', AtHand)
