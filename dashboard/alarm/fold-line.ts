import { html, nothing } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { foldedWords } from '../words/set-aside.ts'
import { prioritySign } from '../vessel/marks.ts'
import { kindOf, MOST_LINES } from './order.ts'

interface Folding {
  readonly unfolded: boolean
  readonly walking: boolean
  readonly name: (alarm: Alarm) => string
  readonly turn: () => void
}

/** The lines of alarms that have no room in sight, behind one line that opens them and looks as the most pressing of them. */
export function foldLine(folded: readonly Alarm[], all: number, { unfolded, walking, name, turn }: Folding) {
  if (folded.length === 0 && !(unfolded && (walking || all > MOST_LINES))) return nothing
  const [worst] = folded
  return html`<li class=${worst ? `one ${kindOf(worst)}` : 'seen'}>
    <button class="line" aria-expanded=${unfolded} @click=${turn}>
      ${worst ? prioritySign(worst.priority, 26) : nothing}
      <span class="what"
        >${folded.length === 0 ? 'Fewer' : foldedWords(folded.map(name), folded.length === all)}</span
      >
      <span aria-hidden="true">${unfolded ? 'fold' : 'show'}</span>
    </button>
  </li>`
}
