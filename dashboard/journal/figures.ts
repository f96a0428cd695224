import { css, html, nothing, type TemplateResult } from 'lit'
import type { JournalFigures } from '../../broker/web/api/journal.ts'
import { zone } from '../state/zone.ts'
import { figureWords, MARKS_SOURCE, VERDICT_WORD } from '../words/journal.ts'

/** How much the alarms asked of people, each figure beside its mark. */
export function figuresOf(
  figures: JournalFigures,
  nameOf: (vesselId: string | null) => string,
  nowMs: number,
): TemplateResult {
  return html`<dl class="figures">
      ${figureWords(figures, nameOf, nowMs, zone).map(
        ({ title, value, more, mark, verdict }) =>
          html`<div>
            <dt>${title}</dt>
            <dd class="value">${value}</dd>
            ${more === '' ? nothing : html`<dd>${more}</dd>`}
            ${
              mark === ''
                ? nothing
                : html`<dd class="mark">
                    ${
                      verdict === null
                        ? nothing
                        : html`<span class="verdict ${verdict}">${VERDICT_WORD[verdict]}</span>; `
                    }${mark}
                  </dd>`
            }
          </div>`,
      )}
    </dl>
    <p class="source">${MARKS_SOURCE}</p>`
}

export const figuresStyle = css`
  .figures {
    display: grid;
    grid-template-columns: repeat(auto-fill, minmax(min(100%, 250px), 1fr));
    gap: 22px 32px;
  }
  .figures > div {
    display: grid;
    gap: 2px;
    align-content: start;
  }
  dt {
    font-weight: 650;
  }
  dd.value {
    font-size: 1.5rem;
    font-weight: 750;
    line-height: 1.2;
    font-variant-numeric: tabular-nums;
    overflow-wrap: anywhere;
  }
  dd.mark {
    font-size: 0.9375rem;
    color: var(--ink-soft);
  }
  .source {
    max-width: 52rem;
    font-size: 0.875rem;
    color: var(--ink-soft);
  }
  .verdict {
    font-weight: 700;
  }
  .verdict.good {
    color: var(--right);
  }
  .verdict.over {
    color: var(--hot);
  }
`
