import { css } from 'lit'

export const curvesStyle = css`
  :host {
    display: block;
  }
  .choices {
    display: flex;
    flex-wrap: wrap;
    gap: 8px;
    margin-bottom: 8px;
  }
  .choices button {
    min-height: 48px;
    padding: 4px 16px;
    font-size: 1rem;
  }
  .choices span {
    display: flex;
    gap: 8px;
  }
  @media (max-width: 430px) {
    .choices button {
      padding-inline: 12px;
    }
  }
  figure {
    margin-top: 14px;
  }
  figcaption {
    display: flex;
    flex-wrap: wrap;
    justify-content: space-between;
    gap: 0 16px;
    align-items: baseline;
    min-height: 28px;
  }
  figcaption h3 {
    font-size: 1.0625rem;
  }
  output {
    font-variant-numeric: tabular-nums;
    color: var(--ink-soft);
  }
  .plot {
    touch-action: pan-y;
    border-radius: 6px;
    min-height: 60px;
  }
  .u-over {
    touch-action: pan-y;
    cursor: grab;
  }
  .u-over:active {
    cursor: grabbing;
  }
  .u-cursor-x {
    border-right: 1px dashed var(--ink) !important;
  }
  .key {
    display: flex;
    flex-wrap: wrap;
    gap: 2px 20px;
    font-size: 0.9375rem;
    color: var(--ink-soft);
  }
  .key span {
    display: inline-flex;
    gap: 8px;
    align-items: center;
  }
  .key i {
    width: 26px;
    height: 0;
    border-top: 3px solid var(--nauplii);
  }
  .key .out {
    height: 12px;
    border: 0;
    background:
      linear-gradient(var(--nauplii), var(--nauplii)) center / 100% 3px no-repeat,
      color-mix(in srgb, var(--nauplii) 30%, transparent);
  }
  .key .food {
    border-top: 2px dashed var(--ink-soft);
  }
  table {
    border-collapse: collapse;
    width: 100%;
    max-width: 40rem;
    margin-top: 14px;
    font-variant-numeric: tabular-nums;
  }
  caption {
    text-align: left;
    color: var(--ink-soft);
    padding-bottom: 6px;
  }
  th,
  td {
    text-align: right;
    padding: 8px 0 8px 12px;
    border-top: 1px solid var(--line);
    white-space: nowrap;
    font-weight: 500;
    vertical-align: top;
  }
  th:first-child {
    text-align: left;
    padding-left: 0;
    font-weight: 700;
  }
  thead th {
    border-top: 0;
    color: var(--ink-soft);
  }
  td span {
    display: block;
    color: var(--ink-soft);
    font-size: 0.875rem;
  }
  /* Four columns in the width of the smallest phones. */
  @media (max-width: 430px) {
    th,
    td {
      padding-left: 6px;
      font-size: 0.875rem;
    }
    th:first-child {
      white-space: normal;
    }
    td span {
      font-size: 0.8125rem;
    }
  }
`
