import { css } from 'lit'

export const pageStyle = css`
  .look {
    max-width: 82rem;
    gap: 28px;
    padding-bottom: 0;
  }
  .look > * {
    min-width: 0;
  }
  header {
    display: grid;
    gap: 4px;
  }
  .elsewhere {
    padding: 10px 14px;
    border-left: 4px solid var(--ink-soft);
    background: var(--raised);
    overflow-wrap: anywhere;
  }
  .said {
    overflow-wrap: anywhere;
  }
  .why {
    display: grid;
    gap: 22px;
    align-content: start;
  }
  .caught summary {
    width: auto;
    white-space: normal;
    overflow-wrap: anywhere;
  }
  .waiting {
    min-height: 14rem;
  }
  .how {
    display: grid;
    gap: 20px;
    align-content: start;
  }
  .deck {
    position: sticky;
    z-index: 4;
    bottom: calc(58px + env(safe-area-inset-bottom));
    margin-inline: -16px;
    padding: 14px 16px 8px;
    background: var(--ground);
    border-top: 1px solid var(--line);
    display: grid;
    gap: 10px;
  }
  .keys {
    display: flex;
    gap: 8px;
  }
  .keys button {
    flex: none;
    padding: 4px 14px;
  }
  .keys button[aria-disabled='true'] {
    opacity: 0.55;
    cursor: default;
  }
  .keys select {
    flex: 1;
    max-width: 14rem;
    font-size: 1rem;
  }
  @media (max-width: 400px) {
    .keys {
      gap: 6px;
    }
    .keys button {
      padding-inline: 12px;
    }
    .keys select {
      padding-inline: 4px;
    }
  }
  @media (min-width: 960px) {
    .look {
      grid-template-columns: minmax(340px, 5fr) 8fr;
      gap: 28px 40px;
      padding-inline: 24px;
    }
    header,
    .deck {
      grid-column: 1 / -1;
    }
    .how {
      grid-column: 2;
      grid-row: 2 / span 2;
    }
    .deck {
      bottom: 0;
      margin-inline: -24px;
      padding-inline: 24px;
      grid-template-columns: auto 1fr;
      align-items: center;
      gap: 20px;
    }
    .keys {
      grid-column: 1;
      grid-row: 1;
    }
    /* Over the page: the handle must not grow shorter under the pointer that drags it. */
    .deck bw-at-hand {
      position: absolute;
      right: 24px;
      bottom: 100%;
      min-width: 19rem;
      padding: 10px 16px;
      background: var(--ground);
      border: 1px solid var(--line);
      border-bottom: 0;
      border-radius: 10px 10px 0 0;
    }
  }
  @media print {
    .deck {
      display: none;
    }
  }
`
