import { css } from 'lit'

/** What a harvest's walk has besides the style of every walk. */
export const harvestStyle = css`
  .result {
    display: grid;
    gap: 6px;
    padding: 12px 16px;
    background: var(--raised);
    border-left: 4px solid var(--nauplii);
    border-radius: 4px;
  }
  .result strong {
    font-size: 1.25rem;
  }
  .summary {
    display: grid;
    gap: 16px;
    max-width: 34rem;
  }
  .finish {
    display: grid;
    gap: 12px;
    max-width: 34rem;
  }
`
