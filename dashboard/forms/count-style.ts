import { css } from 'lit'

export const countStyle = css`
  .sample {
    font-size: 1.0625rem;
    line-height: 1.3;
  }
  .also {
    display: grid;
    grid-template-columns: 1fr 1fr;
    gap: 16px;
  }
  ol {
    margin: 0;
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: 1fr auto;
    gap: 12px;
    align-items: center;
    padding: 6px 0;
    border-top: 1px solid var(--line);
  }
  li button {
    min-height: 48px;
    padding: 6px 14px;
    font-size: 1rem;
  }
  .words {
    min-height: 3.6em;
    padding: 12px 16px;
    background: var(--raised);
    border-left: 4px solid var(--nauplii);
    border-radius: 4px;
  }
  .doubt {
    padding: 12px 16px;
    border-left: 4px solid var(--hot);
    background: var(--raised);
    border-radius: 4px;
  }
  .row .choice {
    margin-right: 20px;
  }
  .add {
    width: 100%;
  }
`
