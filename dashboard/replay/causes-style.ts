import { css } from 'lit'

export const causesStyle = css`
  :host {
    display: grid;
    gap: 22px;
    align-content: start;
  }
  .first {
    border-left: 6px solid var(--hot);
    padding-left: 14px;
    display: grid;
    gap: 14px;
  }
  .well {
    border-left-color: var(--right);
  }
  .big {
    font-size: 1.5rem;
    line-height: 1.25;
    font-weight: 750;
    letter-spacing: -0.01em;
    text-wrap: pretty;
  }
  dl {
    display: grid;
    grid-template-columns: auto 1fr;
    gap: 8px 16px;
    align-items: baseline;
  }
  dt {
    color: var(--ink-soft);
  }
  dd {
    font-weight: 600;
    overflow-wrap: anywhere;
  }
  button.span {
    font-size: 1rem;
    min-height: 44px;
    padding: 4px 16px;
    border-radius: 22px;
    background: transparent;
    color: var(--ink);
    border-color: var(--line-strong);
    font-variant-numeric: tabular-nums;
    text-align: left;
  }
  ol {
    margin: 0;
    padding-left: 28px;
    display: grid;
    gap: 18px;
  }
  ol li::marker {
    font-weight: 800;
    color: var(--warm);
  }
  ol li > * + * {
    margin-top: 4px;
  }
  .evidence,
  .plain {
    display: grid;
    gap: 12px;
  }
  .evidence li {
    display: grid;
    gap: 6px;
  }
  .spans {
    display: flex;
    flex-wrap: wrap;
    gap: 8px;
    align-items: center;
  }
  .source {
    font-size: 0.9375rem;
  }
  summary {
    width: auto;
  }
`
