import { html, nothing } from 'lit'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import { lotText } from '../words/lot.ts'

/** What the forecast knows the lot from, with the way to make it know more. */
export function lotKnown(forecast: Forecast | null, count: () => void) {
  if (!forecast) return nothing
  const { lot } = forecast
  return html`<p class="lot-known">
    ${lotText(lot)}
    ${lot.observations === 0 ? html`<button class="text" @click=${count}>Count a sample</button>` : nothing}
    ${lot.name === null ? nothing : html`<a href="/lots">All lots</a>`}
  </p>`
}
