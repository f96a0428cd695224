import { html, nothing } from 'lit'
import type { Plan } from '../../broker/web/api/plan.ts'
import { moment, type Zone } from '../words/time.ts'
import type { Feedable } from './feed-parts.ts'
import { feedWords, lateWords, namesOf } from './words.ts'

/** A feeding that nobody ticked off for so long may have been missed. Own choice. */
const MISSED_AFTER_MS = 3_600_000

/** Feedings whose time has come: given and not ticked off, or missed. */
export function unticked(
  plan: Plan,
  nowMs: number,
  zone: Zone,
  tickOff: (meal: Feedable, words: string) => unknown,
) {
  if (plan.open.length === 0) return nothing
  const names = namesOf(plan)
  return html`<section aria-label="Not ticked off">
    <h2>Not ticked off</h2>
    <ul class="next">
      ${plan.open.map(meal => {
        const words = feedWords(meal, plan, names)
        const missed = nowMs - Date.parse(meal.at) > MISSED_AFTER_MS
        const planned = plan.meals.find(({ id }) => id === meal.id)
        return html`<li>
          <time datetime=${meal.at}>${moment(Date.parse(meal.at), nowMs, zone)}</time>
          <span class="what"
            ><strong>${words}</strong>
            <span class=${missed ? 'night' : 'soft'}
              >${missed ? 'Missed? Nobody ticked it off.' : 'It is time.'}</span
            >
            <span>${lateWords(meal, planned, plan, names, nowMs, zone)}</span></span
          >
          ${tickOff(planned ? { ...meal, servings: planned.servings } : meal, words)}
        </li>`
      })}
    </ul>
  </section>`
}
