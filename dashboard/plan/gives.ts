import { html, nothing } from 'lit'
import type { Plan } from '../../broker/web/api/plan.ts'
import { lotGivesWords } from './words.ts'

/** Where the figure of a gram comes from. */
export function gives({ lots = [], starts }: Plan) {
  const used = lots.filter(({ id }) => starts.some(({ lot }) => (lot ?? '') === id))
  if (used.length === 0) return nothing
  return html`<details>
    <summary>How many nauplii a gram is taken to give</summary>
    <ul class="gives">
      ${used.map(lot => html`<li>${lotGivesWords(lot)} <a href="/lots">Its counts</a></li>`)}
    </ul>
  </details>`
}
