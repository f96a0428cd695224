import { html, nothing } from 'lit'
import { STOPS_ABOVE_C } from '../../broker/hatch/development/thermal-clock.ts'
import { wholeTemperature, type TemperatureUnit } from '../words/temperature.ts'
import { readNumber } from './form.ts'
import { Kind, shownNumber } from './kept-number.ts'
import { fieldName, type Rule } from './rule-fields.ts'

/**
 * What to mind about a limit that stands in the form, by its field's text; empty where there is nothing. Above where hatching stops
 * nobody is called before it has: that may be wanted, and is taken.
 */
export function limitWarning(rule: Rule, text: string, unit: TemperatureUnit): string {
  const typed = readNumber(text)
  if (rule !== 'water-too-hot' || typed === null) return ''
  // To what a field tells: 91.4 °F is 33 °C.
  return typed > shownNumber(STOPS_ABOVE_C, Kind.temperature, unit)
    ? `Hatching stops above about ${wholeTemperature(STOPS_ABOVE_C, unit)}: with this limit nobody is called before it has stopped.`
    : ''
}

/** The same beside its field, told as it is typed; of what is kept, `shown`, while nothing is. */
export function limitWarned(form: ParentNode, rule: Rule, shown: number, unit: TemperatureUnit) {
  if (rule !== 'water-too-hot') return nothing
  const typed = form.querySelector<HTMLInputElement>(`[name="${fieldName(rule, 'limit')}"]`)
  return html`<p role="status" class="unsaved">${limitWarning(rule, typed?.value ?? String(shown), unit)}</p>`
}
