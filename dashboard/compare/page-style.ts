import { css } from 'lit'

export const comparePageStyle = css`
  .compare {
    max-width: 82rem;
    gap: 28px;
  }
  .compare > * {
    min-width: 0;
  }
  .which {
    max-width: 26rem;
  }
  .over {
    display: grid;
    gap: 16px;
    min-width: 0;
  }
  .by {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 8px;
  }
  .by span {
    width: 100%;
    font-weight: 650;
  }
  .by button {
    min-height: 48px;
    padding: 4px 14px;
    font-size: 1rem;
  }
  .key {
    display: grid;
    grid-template-columns: repeat(auto-fill, minmax(15rem, 1fr));
    gap: 6px 20px;
  }
  .key li {
    display: flex;
    gap: 10px;
    align-items: center;
  }
  .key svg {
    flex: none;
  }
  .pictures {
    display: grid;
    gap: 12px;
  }
  .pictures ul {
    display: grid;
    grid-template-columns: repeat(auto-fill, minmax(150px, 1fr));
    gap: 18px 14px;
  }
  .pictures li {
    display: grid;
    align-content: start;
    min-width: 0;
  }
  .pictures a {
    display: grid;
    gap: 2px;
    text-decoration: none;
    font-size: 0.9375rem;
    overflow-wrap: anywhere;
  }
  .pictures a bw-small-batch {
    margin-bottom: 4px;
  }
  .pictures a:hover strong {
    text-decoration: underline;
  }
  .pictures label {
    display: inline-flex;
    gap: 8px;
    align-items: center;
    min-height: 44px;
  }
  .sideways {
    display: none;
  }
  .scroll {
    overflow-x: auto;
    /* A shade at each edge behind which there is more; the ground moves with the table and covers it at the ends. */
    background:
      linear-gradient(to right, var(--ground) 40%, transparent) left / 40px 100% no-repeat local,
      linear-gradient(to left, var(--ground) 40%, transparent) right / 40px 100% no-repeat local,
      linear-gradient(to right, var(--line-strong), transparent) left / 16px 100% no-repeat scroll,
      linear-gradient(to left, var(--line-strong), transparent) right / 16px 100% no-repeat scroll;
  }
  @media (max-width: 860px) {
    .sideways {
      display: block;
    }
  }
  table {
    border-collapse: collapse;
    font-variant-numeric: tabular-nums;
    margin-top: 10px;
  }
  th,
  td {
    text-align: left;
    padding: 8px 16px 8px 0;
    border-bottom: 1px solid var(--line);
    white-space: nowrap;
    font-weight: 500;
  }
  thead th {
    color: var(--ink-soft);
    font-size: 0.9375rem;
  }
`
