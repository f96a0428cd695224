import { css } from 'lit'

export const setUpStyle = css`
  .start {
    min-height: 64px;
  }
  /* At a desk the amounts stay beside the steps that follow from them. */
  @media (min-width: 1000px) {
    form {
      max-width: none;
      grid-template-columns: minmax(0, 26rem) minmax(0, 34rem);
      gap: 18px 48px;
      align-items: start;
    }
    .amounts {
      position: sticky;
      top: 150px;
    }
  }
  .amounts,
  .follow {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    gap: 18px;
  }
  .clashes:empty {
    display: none;
  }
  .clash {
    display: grid;
    gap: 8px;
    padding: 12px 14px;
    background: var(--raised);
    border-left: 4px solid var(--warm);
    border-radius: 4px;
  }
  .clashes {
    display: grid;
    gap: 12px;
  }
`
