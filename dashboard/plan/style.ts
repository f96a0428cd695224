import { css } from 'lit'

/** The page of the plan: what to do next on top, the picture under it, the fry below. */
export const planStyle = css`
  .summary {
    font-size: 1.1875rem;
    font-weight: 650;
    max-width: 44rem;
  }
  .next {
    display: grid;
    max-width: 46rem;
  }
  .next li {
    display: grid;
    grid-template-columns: 6.5rem minmax(0, 1fr);
    gap: 4px 14px;
    padding: 12px 0;
    border-bottom: 1px solid var(--line);
    align-items: center;
  }
  .next time {
    font-weight: 750;
    font-variant-numeric: tabular-nums;
  }
  .next .what {
    display: grid;
    gap: 2px;
  }
  .next strong {
    font-weight: 700;
  }
  .next .act {
    grid-column: 2;
    justify-self: start;
  }
  .next .begun {
    grid-template-columns: minmax(0, 1fr);
  }
  .next bw-feed-form.act {
    justify-self: stretch;
  }
  /* On a phone words and form need the width more than the hour does. */
  @media (max-width: 480px) {
    .next li {
      grid-template-columns: minmax(0, 1fr);
    }
    .next .act {
      grid-column: 1;
    }
  }
  .fed {
    display: grid;
    max-width: 46rem;
  }
  .fed li {
    display: flex;
    flex-wrap: wrap;
    justify-content: space-between;
    align-items: center;
    gap: 4px 12px;
    border-top: 1px solid var(--line);
    padding: 4px 0;
  }
  .night {
    font-weight: 650;
    color: var(--warm);
  }
  .risks {
    display: grid;
    gap: 10px;
    max-width: 46rem;
  }
  .risks li {
    padding: 10px 14px;
    border-left: 6px solid var(--hot);
    background: var(--raised);
    border-radius: 4px 10px 10px 4px;
  }
  .risks .maybe {
    border-color: var(--warm);
  }
  .wide {
    overflow-x: auto;
  }
  table {
    border-collapse: collapse;
    width: 100%;
    font-variant-numeric: tabular-nums;
  }
  th,
  td {
    text-align: left;
    vertical-align: top;
    padding: 8px 14px 8px 0;
    border-bottom: 1px solid var(--line);
  }
  tbody th {
    font-weight: 650;
    white-space: nowrap;
  }
  tr.feed td {
    color: var(--ink-soft);
  }
  /* Three columns leave a phone one word a line, and a page of many thousand pixels to the fry below. */
  @media (max-width: 480px) {
    thead {
      position: absolute;
      clip-path: inset(50%);
    }
    table,
    tbody {
      display: block;
    }
    tbody tr {
      display: grid;
      grid-template-columns: minmax(0, 1fr);
      padding: 8px 0;
      border-bottom: 1px solid var(--line);
    }
    tbody th,
    tbody td {
      padding: 0;
      border: 0;
    }
  }
  .fry {
    display: grid;
    grid-template-columns: repeat(auto-fill, minmax(min(100%, 320px), 1fr));
    gap: 20px 32px;
  }
  .fry li {
    display: grid;
    gap: 8px;
    align-content: start;
    border-top: 4px solid var(--nauplii);
    padding-top: 10px;
  }
  h3 {
    overflow-wrap: anywhere;
  }
  details {
    min-width: 0;
  }
  summary {
    max-width: 100%;
    padding: 12px 0;
  }
  .page {
    grid-template-columns: minmax(0, 1fr);
  }
  section {
    grid-template-columns: minmax(0, 1fr);
  }
  summary h2 {
    display: inline;
  }
  .changes {
    display: grid;
    gap: 4px;
  }
`
