import { html, type TemplateResult } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { fieldText, line, readNumber, type Sending } from './form.ts'

/** A vessel's own facts: the name that is written on it, and how much it holds. */
export function vesselFields(
  sending: Sending,
  { name, litres }: Pick<Vessel, 'name' | 'litres'>,
  hints: { readonly name?: string; readonly litres?: string } = {},
): TemplateResult {
  return html`<div class="pair">
    ${line('name', 'Name', sending, { value: name, hint: hints.name, maxLength: 80, required: true })}
    ${line('litres', 'Water it takes, in litres', sending, { value: String(litres), hint: hints.litres, numeric: true, required: true })}
  </div>`
}

/** What stands in those fields; `null` after saying beside them what is wrong. */
export function readVessel(form: HTMLFormElement, sending: Sending): { name: string; litres: number } | null {
  const name = fieldText(form, 'name').trim()
  const litres = readNumber(fieldText(form, 'litres'))
  const wrong = new Map<string, string>()
  if (name === '') wrong.set('name', 'Give it a name.')
  if (litres === null || litres <= 0 || litres > 100) wrong.set('litres', 'Write litres above 0, up to 100.')
  if (wrong.size === 0 && litres !== null) return { name, litres }
  sending.refuse(wrong)
  return null
}
