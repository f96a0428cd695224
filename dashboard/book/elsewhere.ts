import { html, nothing, type TemplateResult } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { vesselPath } from '../state/route.ts'
import { GOAL_WORDS } from '../words/goal.ts'
import { WISH_WORDS, goalOf } from './set-up-wish.ts'
import type { Clash, Fields, SharedFields } from './shared-fields.ts'

/** A field's value as a person reads it. */
function said(name: string, value: string): string {
  if (name === 'goal') return GOAL_WORDS[goalOf({ goal: value })].name
  return value.trim() === '' ? 'nothing' : value
}
const labelOf = (name: string): string => (WISH_WORDS as Readonly<Record<string, string>>)[name] ?? name

/** `Water, litres: on another screen 1.2 was written after 1.5 here.` */
export function clashWords(name: string, { stands, other, here }: Clash): string {
  return here
    ? `${labelOf(name)}: on another screen ${said(name, other)} was written meanwhile; ${said(name, stands)} from here stands.`
    : `${labelOf(name)}: ${said(name, other)} was written here, then ${said(name, stands)} on another screen.`
}

/** What was written in one field on two screens, each with a way to either. */
export function clashes(
  { clashes }: SharedFields,
  act: { take(part: Fields): void; leave(name: string): void },
): TemplateResult {
  return html`<div role="status" class="clashes">
    ${Object.entries(clashes).map(
      ([name, clash]) =>
        html`<div class="clash">
          <p><strong>${clashWords(name, clash)}</strong></p>
          <div class="row">
            <button type="button" class="quiet" @click=${() => act.take({ [name]: clash.other })}>
              Write ${said(name, clash.other)}
            </button>
            <button type="button" class="quiet" @click=${() => act.leave(name)}>
              Leave ${said(name, clash.stands)}
            </button>
          </div>
        </div>`,
    )}
  </div>`
}

/** The set-up is under way no more: it was ended on another screen. Nothing that was written or ticked here is lost by it. */
export function overElsewhere(
  vessel: Vessel,
  unsent: Fields,
  act: { readonly busy: boolean; goOn(): void },
): TemplateResult {
  const typed = Object.entries(unsent).map(([name, value]) => `${labelOf(name)} ${said(name, value)}`)
  return html`<div class="page">
    <h1 tabindex="-1">Set up ${vessel.name}</h1>
    ${
      vessel.batch
        ? html`<p role="status">A batch was started in ${vessel.name} on another screen.</p>
            ${
              typed.length === 0
                ? nothing
                : html`<p>
                    Written here and not in it: ${typed.join('; ')}. It can be corrected with the batch.
                  </p>`
            }
            <a class="button" href=${vesselPath(vessel.id)}>To ${vessel.name}</a>`
        : html`<p role="status">
              This set-up was given up on another screen. What was written and ticked is still here.
            </p>
            <div class="row">
              <button ?disabled=${act.busy} @click=${() => act.goOn()}>Go on with it</button>
              <a class="button quiet" href=${vesselPath(vessel.id)}>To ${vessel.name}</a>
            </div>`
    }
  </div>`
}
