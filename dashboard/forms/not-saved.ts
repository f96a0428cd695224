import { css, html, nothing, type TemplateResult } from 'lit'

/** What is typed in a form and counts nowhere yet, by its fields' names, with a way to put it back; empty where there is none. */
export const notSaved = (names: readonly string[], putBack: () => void): TemplateResult =>
  html`<p role="status" class="unsaved">
      ${names.length === 0 ? nothing : `Typed, not saved: ${names.join('; ')}.`}
    </p>
    ${
      names.length === 0
        ? nothing
        : html`<div class="row">
            <button type="button" class="quiet" @click=${putBack}>Put back</button>
          </div>`
    }`

export const notSavedStyle = css`
  .unsaved {
    color: var(--warm);
    font-weight: 650;
  }
  .unsaved:empty {
    display: none;
  }
`
