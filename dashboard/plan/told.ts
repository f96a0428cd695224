import { html, nothing } from 'lit'
import type { Plan } from '../../broker/web/api/plan.ts'
import type { Zone } from '../words/time.ts'
import { CAUSE_WORDS, changeWords, namesOf, riskWords } from './words.ts'

const RISKS = 5

/** What may not be met, and what would help. */
export function risks(plan: Plan, nowMs: number, zone: Zone) {
  if (plan.risks.length === 0) return nothing
  const names = namesOf(plan)
  const more = plan.risks.length - RISKS
  return html`<section aria-label="At risk">
    <h2>At risk</h2>
    <ul class="risks">
      ${plan.risks
        .slice(0, RISKS)
        .map(
          risk =>
            html`<li class=${risk.lacking > 0 ? '' : 'maybe'}>
              ${riskWords(risk, plan, names, nowMs, zone)}
            </li>`,
        )}
    </ul>
    ${more > 0 ? html`<p class="soft">And ${more} more; the table has them all.</p>` : nothing}
  </section>`
}

/** What is otherwise than in the plan before. */
export function changes(plan: Plan, nowMs: number, zone: Zone) {
  if (plan.changes.length === 0) return nothing
  const names = namesOf(plan)
  return html`<details>
    <summary>What changed, as ${plan.causes.map(cause => CAUSE_WORDS[cause]).join(' and ')}</summary>
    <ul class="changes">
      ${plan.changes.map(change => html`<li>${changeWords(change, plan, names, nowMs, zone)}</li>`)}
    </ul>
  </details>`
}
