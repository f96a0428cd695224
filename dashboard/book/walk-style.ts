import { css } from 'lit'

/** Steps to be walked, one under the other: a large mark to tap, what to do, when it was done. */
export const walkStyle = css`
  ol.walk {
    margin: 0;
    padding: 0;
    list-style: none;
    display: grid;
  }
  ol.walk > li {
    border-top: 1px solid var(--line);
    padding: 4px 0 12px;
    display: grid;
    gap: 10px;
  }
  .step {
    display: grid;
    grid-template-columns: 34px 1fr;
    gap: 14px;
    align-items: center;
    min-height: 60px;
    padding: 8px 0;
    cursor: pointer;
  }
  .step input[type='checkbox'] {
    width: 34px;
    height: 34px;
    min-height: 34px;
  }
  .step .what {
    font-size: 1.0625rem;
    line-height: 1.4;
  }
  .step .when {
    display: block;
    color: var(--ink-soft);
    font-size: 0.9375rem;
    font-variant-numeric: tabular-nums;
  }
  li.done .what {
    color: var(--ink-soft);
  }
  li.next .what {
    font-weight: 650;
  }
  .within {
    padding-left: 48px;
    display: grid;
    gap: 12px;
  }
  .caution {
    padding: 8px 14px;
    border-left: 4px solid var(--warm);
    background: var(--raised);
    border-radius: 4px;
    font-size: 1rem;
  }
  .caution::before {
    content: 'Mind: ';
    font-weight: 700;
  }
  .count-down {
    font-size: 2.75rem;
    font-weight: 750;
    line-height: 1;
    font-variant-numeric: tabular-nums;
  }
  progress {
    width: 100%;
    height: 12px;
    accent-color: var(--nauplii);
  }
  @media (max-width: 430px) {
    .within {
      padding-left: 0;
    }
  }
`
