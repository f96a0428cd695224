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
    padding: 14px 16px 13px;
    background: var(--ground);
    border-top: 1px solid var(--line);
    display: grid;
    grid-template-columns: auto auto minmax(0, 1fr);
    gap: 12px 8px;
    align-items: center;
  }
  /* Play and the handle lie lowest: what comes and goes above them does not move them under the thumb. */
  .keys {
    display: contents;
  }
  /* Over the page: the controls neither move nor grow shorter under the thumb or the pointer that uses them. */
  .deck bw-at-hand {
    position: absolute;
    inset-inline: 0;
    bottom: 100%;
    padding: 14px 16px 0;
    background: var(--ground);
    border-top: 1px solid var(--line);
  }
  .deck:has(bw-at-hand) {
    border-color: transparent;
  }
  .keys select {
    grid-column: 3;
  }
  .deck bw-time-handle {
    grid-column: 2 / -1;
  }
  .keys button {
    flex: none;
    min-height: 48px;
    padding: 2px 14px;
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
  /* Kept for keys and screen readers, and shown as soon as one of them comes to it. */
  @media (max-width: 959px) {
    .look {
      padding-top: 14px;
      row-gap: 18px;
    }
    h1 {
      font-size: 1.375rem;
    }
    .deck.rest:not(:focus-within) .far {
      position: absolute;
      width: 1px;
      min-width: 0;
      height: 1px;
      min-height: 0;
      padding: 0;
      border: 0;
      overflow: hidden;
      clip-path: inset(50%);
    }
  }
  @media (max-width: 400px) {
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
      gap: 20px;
    }
    .keys {
      display: flex;
      gap: 8px;
    }
    .deck bw-time-handle {
      grid-column: 2;
    }
    .deck bw-at-hand {
      inset-inline: auto 24px;
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
