import { html, nothing } from 'lit'
import type { Plan } from '../../broker/web/api/plan.ts'
import { problem, type Sending } from '../forms/form.ts'
import { moment, type Zone } from '../words/time.ts'
import { exactly, givenFrom, namesOf } from './words.ts'

/** What was given so far, each with a way to take it back. */
export function given(
  plan: Plan,
  nowMs: number,
  zone: Zone,
  takingBack: Sending,
  takeBack: (id: string, words: string) => void,
) {
  if (plan.fed.length === 0) return nothing
  const names = namesOf(plan)
  return html`<details>
    <summary>Given so far: ${plan.fed.filter(({ withdrawnAt }) => withdrawnAt === null).length}</summary>
    ${problem(takingBack)}
    <ul class="fed">
      ${plan.fed.toReversed().map(each => {
        const many =
          each.nauplii === null
            ? ''
            : each.nauplii === 0
              ? ': not given'
              : `: ${exactly(each.nauplii)} nauplii${givenFrom(each, names)}`
        const words = `${moment(Date.parse(each.at), nowMs, zone)} ${names.cohort(each.cohortId)}${many}`
        if (each.withdrawnAt !== null) return html`<li class="soft"><del>${words}</del> taken back</li>`
        return html`<li>
          <span>${words} <span class="soft">· ${each.by}</span></span>
          <button class="quiet" @click=${() => takeBack(each.id, words)}>
            Take back<span class="hidden">: ${words}</span>
          </button>
        </li>`
      })}
    </ul>
  </details>`
}
