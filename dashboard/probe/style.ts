import { css } from 'lit'

export const calibrateStyle = css`
  ol {
    margin: 0;
    padding-left: 1.4em;
    display: grid;
    gap: 8px;
    max-width: 40rem;
  }
  .live {
    padding: 14px 16px;
    background: var(--raised);
    border-left: 6px solid var(--line-strong);
    display: grid;
    gap: 4px;
  }
  .live.rest {
    border-left-color: var(--right);
  }
  .live strong {
    font-size: 1.375rem;
    font-variant-numeric: tabular-nums;
  }
  .live.rest p::before {
    content: '✓ ';
  }
  .lines li {
    padding: 10px 0;
    border-top: 1px solid var(--line);
    display: flex;
    flex-wrap: wrap;
    gap: 8px 16px;
    align-items: center;
    justify-content: space-between;
  }
  .gone {
    text-decoration: line-through;
    color: var(--ink-soft);
  }
`
