import { html, nothing, type TemplateResult } from 'lit'
import { vesselPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { gramsText, litresText } from '../words/amounts.ts'
import { broughtInText } from '../words/brought-in.ts'
import { temperatureText, type TemperatureUnit } from '../words/temperature.ts'
import { duration, moment } from '../words/time.ts'
import type { Recording } from './recording.ts'
import { sinceStart } from './words.ts'

/** Which batch it is, and, of one from elsewhere, where it came from. A vessel that stands in the room has a page to go to. */
export function batchHead(
  { replay: { batch, vessel, broughtIn, forecast } }: Recording,
  nowMs: number,
  inRoom: Pick<ReadonlyMap<string, unknown>, 'has'>,
  unit: TemperatureUnit,
): TemplateResult {
  const startedMs = Date.parse(batch.startedAt)
  const lasted =
    batch.endedAt === null
      ? `open for ${duration(nowMs - startedMs)}`
      : `${sinceStart(Date.parse(batch.endedAt) - startedMs)} long`
  return html`<header>
    <h1>
      ${
        vessel && inRoom.has(vessel.id) && !broughtIn
          ? html`<a href=${vesselPath(vessel.id)}>${vessel.name}</a>`
          : (vessel?.name ?? 'A vessel that is gone')
      },
      batch of ${moment(startedMs, nowMs, zone)}
    </h1>
    <p class="soft">
      ${lasted}; ${litresText(batch.litres)}, ${gramsText(batch.cystsG)}
      cysts${batch.lot ? ` of ${batch.lot}` : ''}
    </p>
    ${
      forecast.waterMeasured === false
        ? html`<p>
            No readings: its times are reckoned as if the water had been at
            ${temperatureText(forecast.expectedWaterC.p50, unit)} all the time.
          </p>`
        : nothing
    }
    ${broughtIn ? html`<p class="elsewhere">${broughtInText(broughtIn, nowMs, zone)}</p>` : nothing}
  </header>`
}
