import { html, nothing, type TemplateResult } from 'lit'
import type { NewCalibration } from '../../broker/web/api/calibrations.ts'
import { line, problem, type Sending } from '../forms/form.ts'
import type { TemperatureUnit } from '../words/temperature.ts'
import { iceBath, sideBySide } from './how.ts'

export type Reference = NewCalibration['points'][number]['reference']

/** What the probe is held against, until it is at rest and its point can be taken. */
export function holdForm(
  reference: Reference,
  unit: TemperatureUnit,
  steady: boolean,
  sending: Sending,
  acts: { readonly take: (event: SubmitEvent) => void; readonly back: () => void },
): TemplateResult {
  return html`<h2 tabindex="-1">${reference === 'ice' ? 'In melting ice' : 'Beside a thermometer'}</h2>
    ${reference === 'ice' ? iceBath : sideBySide}
    <form novalidate @submit=${acts.take}>
      ${
        reference === 'thermometer'
          ? html`<div class="pair">
              ${line('referenceC', `It shows, °${unit}`, sending, { numeric: true })}
              ${line('plusMinus', `It is good to ±, °${unit}`, sending, {
                numeric: true,
                value: unit === 'C' ? '0.2' : '0.4',
                hint: 'From its paper; a clinical one 0.1 °C (0.2 °F)',
              })}
            </div>`
          : nothing
      }
      ${problem(sending)}
      <div class="row">
        <button ?disabled=${!steady || sending.busy}>
          ${steady ? 'Take it' : 'Wait until it is at rest'}
        </button>
        <button type="button" class="quiet" @click=${acts.back}>Back</button>
      </div>
    </form>`
}
