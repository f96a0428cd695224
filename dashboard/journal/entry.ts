import { css, html, nothing, type TemplateResult } from 'lit'
import type { JournalEntry } from '../../broker/web/api/journal.ts'
import { batchThenPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { prioritySign } from '../vessel/marks.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { calledByWords, lifeLines } from '../words/journal.ts'
import { ownUnitFirst, type TemperatureUnit } from '../words/temperature.ts'
import { duration } from '../words/time.ts'
import { signColours } from '../style/sign-colours.ts'

/** One alarm of the journal in a line, and its life behind it. `when`: when it came, as the list around it says that. */
export function entryOf(
  entry: JournalEntry,
  nameOf: (vesselId: string | null) => string,
  unit: TemperatureUnit,
  nowMs: number,
  when: string,
): TemplateResult {
  const { id, vesselId, rule, priority, raisedAt, clearedAt, text } = entry.alarm
  const said = entry.steps.flatMap(({ says }) => says ?? [])
  const fromMs = Date.parse(raisedAt)
  const lasted =
    clearedAt === null ? `stands for ${duration(nowMs - fromMs)}` : duration(Date.parse(clearedAt) - fromMs)
  return html`<li class="entry">
    <details data-id=${id}>
      <summary class=${priority}>
        ${prioritySign(priority, 26)}
        <span
          >${ALARM_WORD[rule]}, ${nameOf(vesselId)}<span class="hidden">, ${priority} priority</span></span
        >
        <span class="when">${when}, ${lasted}${calledByWords(entry, nameOf)}</span>
      </summary>
      <dl class="life">
        ${lifeLines(entry, nowMs, zone, nameOf).map(
          ({ at, words, says }) =>
            html`<dt>${at}</dt>
              <dd>
                ${words} ${says === '' ? nothing : html`<p class="soft">${ownUnitFirst(says, unit)}</p>`}
              </dd>`,
        )}
      </dl>
      ${vesselId === null ? nothing : html`<p><a class="then" href=${batchThenPath(vesselId, fromMs)}>See the vessel at that moment</a></p>`}
      ${
        // Older records have only what it said last; and what takes the room counts on after its call.
        said.length === 0 || (vesselId === null && said.at(-1) !== text)
          ? html`<p class="said-then soft">
              ${said.length === 0 ? '' : 'At last: '}${ownUnitFirst(text, unit)}
            </p>`
          : nothing
      }
    </details>
  </li>`
}

export const entryStyle = css`
  li.entry {
    border-top: 1px solid var(--line);
  }
  .entry summary {
    display: grid;
    grid-template-columns: auto 1fr;
    gap: 2px 12px;
    width: auto;
    padding: 10px 0;
    align-items: center;
  }
  .entry summary svg {
    grid-row: span 2;
  }
  .entry .when {
    font-weight: 400;
    color: var(--ink-soft);
  }
  ${signColours}
  .life {
    display: grid;
    grid-template-columns: max-content 1fr;
    gap: 6px 14px;
    padding: 0 0 14px 0;
    max-width: 44rem;
  }
  .life dt {
    font-variant-numeric: tabular-nums;
    font-weight: 500;
    color: var(--ink-soft);
  }
  .then {
    display: inline-block;
    padding: 12px 0;
  }
  .said-then {
    max-width: 44rem;
    padding-bottom: 8px;
  }
`
