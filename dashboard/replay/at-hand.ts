import { css, html, nothing } from 'lit'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { signColours } from '../style/sign-colours.ts'
import '../vessel/cone.ts'
import { prioritySign } from '../vessel/marks.ts'
import { alarmWord } from '../words/alarm.ts'
import { moment } from '../words/time.ts'
import { alarmsThen } from './alarms-then.ts'
import { AtMoment } from './at-moment.ts'
import { pictureThen, vesselThen } from './picture-then.ts'
import { saidAt } from './recording.ts'
import { outThen, saidText, sinceStart } from './words.ts'

/** The vessel at the moment in small, beside the handle: what plays is seen wherever the page has been scrolled to. */
export class AtHand extends AtMoment {
  static override styles = [
    shared,
    signColours,
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
