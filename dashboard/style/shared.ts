import { css } from 'lit'

/** What every view is made of: text, links, and things for wet thumbs. */
export const shared = css`
  :host {
    display: block;
  }
  *,
  *::before,
  *::after {
    box-sizing: border-box;
  }
  h1,
  h2,
  h3,
  p,
  ul,
  dl,
  dd,
  figure {
    margin: 0;
  }
  h1 {
    font-size: 1.625rem;
    line-height: 1.2;
    font-weight: 750;
    letter-spacing: -0.01em;
  }
  h2 {
    font-size: 1.25rem;
    line-height: 1.25;
    font-weight: 700;
  }
  h3 {
    font-size: 1.0625rem;
    line-height: 1.3;
    font-weight: 700;
  }
  a {
    color: inherit;
  }
  ul {
    padding: 0;
    list-style: none;
  }
  :focus-visible {
    outline: 3px solid var(--ink);
    outline-offset: 3px;
    border-radius: 6px;
  }
  .soft {
    color: var(--ink-soft);
  }
  .hidden {
    position: absolute;
    width: 1px;
    height: 1px;
    overflow: hidden;
    clip-path: inset(50%);
    white-space: nowrap;
  }

  button,
  .button {
    font: inherit;
    font-weight: 700;
    font-size: 1.0625rem;
    min-height: 52px;
    min-width: 52px;
    padding: 10px 20px;
    border-radius: 26px;
    border: 2px solid var(--ink);
    background: var(--ink);
    color: var(--ground);
    cursor: pointer;
    touch-action: manipulation;
    display: inline-flex;
    align-items: center;
    justify-content: center;
    gap: 8px;
    text-decoration: none;
    text-align: center;
  }
  button.quiet,
  .button.quiet {
    background: transparent;
    color: var(--ink);
    border-color: var(--line-strong);
  }
  button[aria-pressed='true'] {
    background: var(--ink);
    color: var(--ground);
    border-color: var(--ink);
  }
  button:disabled {
    opacity: 0.55;
    cursor: default;
  }

  form {
    display: grid;
    /* What is long within a field, a list of long choices, does not widen the page. */
    grid-template-columns: minmax(0, 1fr);
    gap: 18px;
    max-width: 34rem;
  }
  .pair {
    display: grid;
    gap: 18px;
    grid-template-columns: repeat(auto-fit, minmax(140px, 1fr));
  }
  .field {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    gap: 6px;
    align-content: start;
  }
  /* Fields side by side stand in line, however long their labels are. */
  @supports (grid-template-rows: subgrid) {
    .pair > .field {
      grid-row: span 3;
      grid-template-rows: subgrid;
      row-gap: 6px;
    }
    .pair > .field > label {
      align-self: end;
    }
  }
  .notes {
    display: grid;
    gap: 6px;
  }
  .field label,
  legend {
    font-weight: 650;
  }
  .field .hint {
    color: var(--ink-soft);
    font-size: 0.9375rem;
  }
  .field .wrong {
    color: var(--hot);
    font-weight: 650;
    font-size: 0.9375rem;
  }
  .field .wrong::before {
    content: '✕ ';
  }
  input,
  select {
    font: inherit;
    font-size: 1.125rem;
    min-height: 52px;
    min-width: 0;
    width: 100%;
    padding: 8px 14px;
    color: var(--ink);
    background: var(--raised);
    border: 2px solid var(--line-strong);
    border-radius: 12px;
  }
  input[aria-invalid='true'],
  select[aria-invalid='true'] {
    border-color: var(--hot);
  }
  input[type='checkbox'],
  input[type='radio'] {
    width: 26px;
    min-height: 26px;
    height: 26px;
    accent-color: var(--brine);
    margin: 0;
    flex: none;
  }
  .choice {
    display: flex;
    align-items: center;
    gap: 12px;
    min-height: 48px;
    cursor: pointer;
  }
  fieldset {
    border: 0;
    padding: 0;
    margin: 0;
    display: grid;
    gap: 10px;
  }
  summary {
    min-height: 48px;
    display: list-item;
    align-content: center;
    cursor: pointer;
    font-weight: 650;
    width: fit-content;
    max-width: 100%;
  }
  details > * + * {
    margin-top: 10px;
  }
  .row {
    display: flex;
    flex-wrap: wrap;
    gap: 12px;
    align-items: center;
  }
  .said {
    font-weight: 650;
  }
  .failed {
    color: var(--hot);
    font-weight: 650;
  }
  code {
    font-family: ui-monospace, 'Liberation Mono', monospace;
    font-size: 0.9375em;
  }
  pre {
    margin: 0;
    padding: 14px 16px;
    background: var(--raised);
    overflow-x: auto;
    border-radius: 12px;
  }
  .page {
    padding: 20px 16px 32px;
    max-width: 62rem;
    margin: 0 auto;
    display: grid;
    /* Nothing in it makes it wider than the screen: what is too long wraps. */
    grid-template-columns: minmax(0, 1fr);
    gap: 28px;
  }
  section {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    gap: 14px;
    align-content: start;
    min-width: 0;
  }
  .cautions-list {
    display: grid;
    gap: 12px;
    max-width: 44rem;
  }
`
