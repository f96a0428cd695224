import { css, html, svg } from 'lit'
import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { causeTitle, isCostly } from '../replay/words.ts'

/** How a batch went: a closed set, each with a mark of its own. */
export const Fate = { unknown: 'unknown', wrong: 'wrong', well: 'well', untold: 'untold' } as const
export type Fate = (typeof Fate)[keyof typeof Fate]

/** How a batch went and why, in a few words: `Went wrong: no air`. A diagnosis that is not made yet is `undefined`. */
export function fateOf(
  { note }: Pick<Batch, 'note'>,
  made: Diagnosis | null | undefined,
): { readonly fate: Fate; readonly words: string } {
  const givenUp = note !== null && /given up/iu.test(note)
  const lead = givenUp ? 'Given up' : 'Went wrong'
  if (made === undefined || made === null)
    return givenUp
      ? { fate: Fate.wrong, words: 'Given up' }
      : { fate: Fate.unknown, words: made === null ? 'How it went is not known' : 'Looking how it went…' }
  const [first, second] = made.causes.filter(isCostly)
  if (first) {
    const also = second ? `, and ${lower(causeTitle(second.kind))}` : ''
    return { fate: Fate.wrong, words: `${lead}: ${lower(causeTitle(first.kind))}${also}` }
  }
  if (made.verdict === 'unexplained' || isShort(made))
    return { fate: Fate.wrong, words: `${lead}: fewer than expected, nothing measured explains it` }
  if (givenUp) return { fate: Fate.wrong, words: 'Given up: nothing measured was off' }
  const [harmless] = made.causes
  const also = harmless ? harmlessWords(harmless.kind) : null
  if (made.verdict === 'not-counted' || (harmless && made.balance.counted === null))
    return { fate: Fate.untold, words: `Not counted; ${also ?? 'nothing was off'}` }
  if (also !== null) return { fate: Fate.well, words: `Went well, ${also}` }
  const [risk] = made.risky
  return {
    fate: Fate.well,
    words: risk ? `Went well; ${lower(causeTitle(risk.kind))} was a risk` : 'Went well',
  }
}

/** What was found and cost nothing is no reason to call a batch spoilt. */
const harmlessWords = (kind: Diagnosis['causes'][number]['kind']): string =>
  kind === 'readings-missing'
    ? 'with a gap in its readings'
    : `with nothing lost by this: ${lower(causeTitle(kind))}`

/** So many points fewer are told, as in a diagnosis that found nothing. */
const UNEXPLAINED_POINTS = 5

/** Fewer than all that was found explains, where that cost nothing to speak of. */
const isShort = ({ causes, balance }: Diagnosis): boolean =>
  causes.length > 0 && (balance.unexplained?.p90 ?? 0) < -UNEXPLAINED_POINTS

const lower = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1)

const MARKS: Readonly<Record<Fate, ReturnType<typeof svg>>> = {
  wrong: svg`<path d="M5 5 L19 19 M19 5 L5 19" stroke-width="3.6" />`,
  well: svg`<path d="M4 13 l5 5 l11 -12" />`,
  untold: svg`<path d="M5 12 H19" />`,
  unknown: svg`<circle cx="12" cy="12" r="8" stroke-dasharray="3 5" />`,
}

export const fateStyle = css`
  .fate {
    display: flex;
    gap: 8px;
    align-items: center;
    font-weight: 650;
  }
  .fate svg {
    flex: none;
  }
  .fate.wrong {
    color: var(--hot);
  }
  .fate.well {
    color: var(--right);
  }
  .fate.unknown,
  .fate.untold {
    color: var(--ink-soft);
  }
`

/** The same with its mark; told apart without colour. */
export function fateLine(batch: Pick<Batch, 'note'>, made: Diagnosis | null | undefined) {
  const { fate, words } = fateOf(batch, made)
  return html`<span class="fate ${fate}"
    ><svg
      viewBox="0 0 24 24"
      width="18"
      height="18"
      fill="none"
      stroke="currentColor"
      stroke-width="2.6"
      stroke-linecap="round"
      stroke-linejoin="round"
      aria-hidden="true"
    >
      ${MARKS[fate]}
    </svg>
    ${words}</span
  >`
}
