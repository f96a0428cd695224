import { html, nothing, type TemplateResult } from 'lit'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { zone } from '../state/zone.ts'
import { firstCall } from './alarms-then.ts'
import './caught.ts'
import type { Spell } from './caught-words.ts'
import { type Diagnosis, rankedCauses } from './diagnosed.ts'
import { hotSpells } from './in-vain.ts'
import type { Recording } from './recording.ts'
import { causeTitle, firstCallText } from './words.ts'

/** For so many causes it is told what called. */
const MOST_CAUGHT = 3

export interface CaughtOf {
  /** `null` while it is waited for. */
  readonly diagnosis: Diagnosis | null
  readonly settings: Settings
  readonly nowMs: number
  /** Which of the others the person has opened. */
  readonly opened: readonly boolean[]
  readonly onToggle: () => void
}

/** What called, and what would have called sooner, for each of the first causes: the first at once, the others when they are opened. */
export function caughtParts(
  { replay: { batch, alarms } }: Recording,
  { diagnosis, settings, nowMs, opened, onToggle }: CaughtOf,
): TemplateResult {
  // It is not drawn anew with every moment that is looked at.
  const minute = nowMs - (nowMs % 60_000)
  const first = firstCall(alarms)
  const firstWords = firstCallText(first, minute, zone)
  const [main, ...more] = rankedCauses(diagnosis).slice(0, MOST_CAUGHT)
  const part = (cause: string, hot?: readonly Spell[]) =>
    html`<bw-caught
      .batchId=${batch.id}
      .cause=${cause}
      .settings=${settings}
      .judged=${diagnosis !== null}
      .fallback=${cause === '' || first ? firstWords : ''}
      .nowMs=${minute}
      .hot=${hot}
      .untilMs=${batch.endedAt === null ? undefined : Date.parse(batch.endedAt)}
    ></bw-caught>`
  return html`${part(main?.kind ?? '', main && hotSpells(main))}
  ${more.map(
    (cause, at) =>
      html`<details class="caught" @toggle=${onToggle}>
        <summary>What called, and would have, for ${at + 2}: ${causeTitle(cause.kind)}</summary>
        ${opened[at] ? part(cause.kind, hotSpells(cause)) : nothing}
      </details>`,
  )}`
}
