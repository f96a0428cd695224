import { html, nothing } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { alarmWord, isOver } from '../words/alarm.ts'
import { foldedWords } from '../words/set-aside.ts'
import { prioritySign } from '../vessel/marks.ts'
import { isUnseen, kindOf } from './order.ts'

interface Folding {
  readonly unfolded: boolean
  /** More stand than have a line of their own when nothing is unfolded. */
  readonly foldable: boolean
  /** It is the only line, so it tells what the most pressing of them is, and only how many the others are. */
  readonly telling: boolean
  readonly name: (alarm: Alarm) => string
  readonly turn: () => void
}

/** What an alarm is and where, in a line. */
export function lineWords(alarm: Alarm, name: string): string {
  const seen = isUnseen(alarm) ? '' : isOver(alarm) ? ', seen' : ', seen, still so'
  return `${alarmWord(alarm)}: ${name}${seen}`
}

/** The lines of alarms that have no room in sight, behind one line that opens them and looks as the most pressing of them. */
export function foldLine(
  folded: readonly Alarm[],
  all: number,
  { unfolded, foldable, telling, name, turn }: Folding,
) {
  const [worst] = folded
  if (!worst && !(unfolded && foldable)) return nothing
  return html`<li class=${worst ? `one ${kindOf(worst)}` : 'seen'}>
    <button class="line" aria-expanded=${unfolded} @click=${turn}>
      ${worst ? prioritySign(worst.priority, 26) : nothing}
      <span class="what"
        >${
          !worst
            ? 'Fewer'
            : telling
              ? `${lineWords(worst, name(worst))}, and ${folded.length - 1} more`
              : foldedWords(
                  folded.map(each => (each.vesselId === null ? alarmWord(each) : name(each))),
                  folded.length === all,
                )
        }</span
      >
      <span aria-hidden="true">${unfolded ? 'fold' : 'show'}</span>
    </button>
  </li>`
}
