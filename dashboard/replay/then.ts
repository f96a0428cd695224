import { css, html, nothing } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import type { Curve } from '../curves/history.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { signColours } from '../style/sign-colours.ts'
import '../vessel/cone.ts'
import { prioritySign, waterMark } from '../vessel/marks.ts'
import { lampCondition, waterBesideAlarms, waterCondition } from '../words/condition.ts'
import { moment } from '../words/time.ts'
import { alarmsThen, hushed, seenThen } from './alarms-then.ts'
import { AtMoment } from './at-moment.ts'
import { pictureThen, vesselThen } from './picture-then.ts'
import { saidAt } from './recording.ts'
import { outThen, saidText, sinceStart } from './words.ts'

/** The vessel as it was at a moment: the cone, what was measured, what stood in alarm. */
export class Then extends AtMoment {
  static override styles = [
    shared,
    signColours,
    css`
      .scene {
        display: grid;
        grid-template-columns: minmax(96px, 150px) 1fr;
        gap: 4px 18px;
        align-items: start;
      }
      .when {
        grid-column: 1 / -1;
        font-variant-numeric: tabular-nums;
      }
      bw-cone {
        width: 100%;
      }
      dl {
        display: grid;
        grid-template-columns: auto 1fr;
        gap: 4px 14px;
        font-variant-numeric: tabular-nums;
        align-content: start;
      }
      dt {
        color: var(--ink-soft);
      }
      dd {
        font-weight: 650;
      }
      .water {
        display: flex;
        gap: 8px;
        align-items: center;
        font-size: 1.125rem;
        font-weight: 700;
        padding-bottom: 8px;
      }
      .alarms {
        padding-top: 10px;
        display: grid;
        gap: 6px;
        /* So that what is below stays where it is when an alarm comes or goes. */
        min-height: 68px;
      }
      .alarms li {
        display: flex;
        gap: 8px;
        align-items: center;
        font-weight: 650;
      }
      .alarms svg {
        flex: none;
      }
      .hushed {
        color: var(--ink-soft);
        --sign-cut: var(--ground);
      }
    `,
  ]

  override render() {
    const { recording, settings, atMs, nowMs } = this
    if (!recording || !settings) return nothing
    const alarms = alarmsThen(recording.replay.alarms, atMs)
    const heads = alarms.filter(alarm => !isToldBy(alarm, alarms))
    const vessel = vesselThen(recording, atMs)
    const water = waterBesideAlarms(waterCondition(vessel, settings, atMs), alarms)
    const picture = pictureThen(recording, vessel, alarms, settings, atMs)
    const lamp = lampCondition(vessel, settings, atMs)
    const row = (name: string, role: Curve) =>
      recording.channels[role]
        ? html`<dt>${name}</dt>
            <dd>
              ${saidText(role, saidAt(recording.channels[role], atMs), atMs, settings.temperatureUnit)}
            </dd>`
        : nothing
    return html`<div class="scene">
      <p class="when">
        <strong>${moment(atMs, nowMs, zone)}</strong>
        <span class="soft">${sinceStart(atMs - recording.fromMs)} after the start</span>
      </p>
      <bw-cone .picture=${picture}></bw-cone>
      <div>
        <p class="water">${waterMark(water.state)} ${water.word}</p>
        <dl>
          ${row('Water', 'water')} ${row('Upper water', 'upper-water')}
          <dt>Hatched</dt>
          <dd>${outThen(recording, atMs)}</dd>
          ${row('Air', 'air')}
          ${
            recording.channels.light
              ? html`<dt>Light</dt>
                  <dd>
                    ${lamp.word === 'not heard' ? 'no good reading' : `${lamp.word}, ${saidText('light', saidAt(recording.channels.light, atMs), atMs, settings.temperatureUnit)}`}
                  </dd>`
              : nothing
          }
          ${row('Room', 'room')} ${row('Level', 'level')}
        </dl>
        <ul class="alarms" aria-label="In alarm then">
          ${heads.map(
            alarm =>
              html`<li class=${hushed(alarm) ? 'hushed' : alarm.priority}>
                ${prioritySign(alarm.priority, 24)}
                <span>${seenThen(alarm)}</span>
              </li>`,
          )}
        </ul>
      </div>
    </div>`
  }
}
/** Another one that stands tells of it: the same words twice would say no more. */
const isToldBy = ({ state, causedBy }: Alarm, alarms: readonly Alarm[]): boolean =>
  state === 'suppressed-by-design' && causedBy !== null && alarms.some(({ id }) => id === causedBy)
customElements.define('bw-then', Then)
