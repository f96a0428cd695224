import { css } from 'lit'

/** One alarm whole, the others a line each; no higher than leaves the cones in sight. */
export const barStyle = css`
  ul {
    max-height: 46vh;
    overflow-y: auto;
    overscroll-behavior: contain;
  }
  /* Two lines below the one that is whole, none of them cut off. */
  @media (max-width: 719px) {
    ul {
      max-height: 54vh;
    }
  }
  ul:has(.choices),
  ul:has(.text) {
    max-height: 66vh;
  }
  ul:has(.choices bw-take-out) {
    max-height: 80vh;
  }
  /* Its own buttons are in sight instead. */
  @media (max-width: 719px) {
    li:has(bw-take-out) .acts {
      display: none;
    }
  }
  li {
    --sign-cut: var(--back);
    background: var(--back);
    color: var(--front);
    border-bottom: 2px solid var(--ground);
  }
  li.critical {
    --back: var(--critical);
    --front: var(--on-critical);
  }
  li.high {
    --back: var(--high);
    --front: var(--on-high);
  }
  li.low {
    --back: var(--low);
    --front: var(--on-low);
  }
  /* Answered, or over by itself: quieter than what is so now. The sign keeps its shape. */
  li.seen,
  li.over {
    --back: var(--raised);
    --front: var(--ink);
  }
  /* Answered, and still so: it stays told apart by its edge, its sign and its words. */
  li.seen.critical {
    border-left: 8px solid var(--critical);
  }
  li.seen.critical svg {
    --sign-cut: var(--on-critical);
    color: var(--critical);
  }
  svg {
    flex: none;
  }
  .needs.whole svg {
    animation: beat 1s infinite alternate ease-in-out;
  }
  @keyframes beat {
    from {
      transform: scale(0.86);
    }
    to {
      transform: scale(1.08);
    }
  }
  @media (prefers-reduced-motion: reduce) {
    .needs.whole svg {
      animation: none;
    }
  }
  .whole {
    display: grid;
    grid-template-columns: 34px minmax(0, 1fr);
    gap: 0 10px;
    padding: 7px 16px 8px;
    line-height: 1.2;
  }
  .whole > svg {
    align-self: start;
    margin-top: 2px;
  }
  .name {
    font-size: 1.125rem;
  }
  .name a {
    text-decoration: underline;
    text-decoration-thickness: 2px;
    text-underline-offset: 3px;
  }
  .now {
    font-size: 1rem;
    font-weight: 700;
    font-variant-numeric: tabular-nums;
  }
  .since {
    font-size: 0.875rem;
    font-variant-numeric: tabular-nums;
  }
  .action {
    grid-column: 1 / -1;
    font-size: 1.0625rem;
    font-weight: 800;
    padding-top: 4px;
    text-wrap: balance;
  }
  .text {
    grid-column: 1 / -1;
    padding-top: 6px;
    max-width: 60rem;
    display: grid;
    gap: 6px;
  }
  .chain {
    grid-column: 1 / -1;
    padding-top: 4px;
    font-size: 0.9375rem;
  }
  .choices {
    grid-column: 1 / -1;
    display: flex;
    flex-wrap: wrap;
    gap: 10px;
    padding-top: 10px;
  }
  .choices button {
    flex: 1 1 auto;
    min-height: 52px;
    padding: 4px 14px;
    border-color: var(--front);
    background: transparent;
    color: var(--front);
    font-size: 1rem;
  }
  .acts {
    grid-column: 1 / -1;
    display: flex;
    flex-wrap: wrap;
    gap: 8px;
    padding-top: 7px;
  }
  .acts button {
    min-height: 48px;
    padding: 4px 11px;
    border-color: var(--front);
    background: transparent;
    color: var(--front);
  }
  /* All three side by side, so that the bar takes no more of the page than it must. */
  @media (max-width: 380px) {
    .acts button {
      padding-inline: 8px;
      font-size: 0.9375rem;
    }
  }
  .acts button.acknowledge {
    flex: 1;
    min-width: max-content;
    background: var(--front);
    color: var(--back);
    font-size: 1.125rem;
  }
  /* A line, and the one thing that can be done about it from there. */
  .one {
    display: flex;
    align-items: center;
  }
  .one > .acknowledge {
    flex: none;
    min-height: 48px;
    margin-right: 12px;
    padding: 4px 18px;
    border-color: var(--front);
    background: var(--front);
    color: var(--back);
    font-size: 1rem;
  }
  bw-take-out {
    flex: 1 1 100%;
  }
  /* On a phone it stays in sight while the page is read: a third of the screen is enough for that. */
  @media (max-width: 719px) {
    .whole:not(:has(.text)) .chain {
      display: none;
    }
  }
  /* In the bar's own ink on the bar's own ground: clear of the filled button, and inside a line that fills the bar. */
  :focus-visible {
    outline: 3px solid var(--front);
    outline-offset: 3px;
  }
  .choices button:focus-visible,
  .acts button:focus-visible {
    border-radius: 26px;
  }
  button.line:focus-visible {
    outline-offset: -5px;
    border-radius: 6px;
  }
  button.line {
    display: flex;
    width: 100%;
    min-height: 48px;
    padding: 6px 16px;
    gap: 10px;
    border: 0;
    border-radius: 0;
    background: transparent;
    color: inherit;
    font-size: 1rem;
    text-align: left;
    justify-content: flex-start;
  }
  .line span {
    font-weight: 650;
    line-height: 1.2;
  }
  /* Which vessel it is must be read whole; the value gives way first. */
  .line .what {
    flex: 1 1 9rem;
  }
  .line .value {
    text-align: right;
    font-variant-numeric: tabular-nums;
  }
  .failed {
    padding: 10px 16px;
    background: var(--ground);
  }
  @media (min-width: 720px) {
    .whole {
      grid-template-columns: 44px minmax(0, 1fr) auto;
      grid-template-rows: auto auto 1fr;
      padding: 12px 24px;
      gap: 0 12px;
    }
    .whole > svg {
      grid-row: 1 / span 2;
    }
    .told {
      display: flex;
      flex-wrap: wrap;
      align-items: baseline;
      gap: 0 20px;
    }
    .action,
    .chain,
    .choices,
    .text {
      grid-column: 2;
    }
    .acts {
      grid-column: 3;
      grid-row: 1 / span 3;
      align-self: center;
      padding: 0 0 0 16px;
    }
    .acts button {
      padding-inline: 18px;
    }
    .acts button.acknowledge {
      min-width: 180px;
    }
    button.line {
      padding-inline: 32px 24px;
      gap: 22px;
    }
    .line .what {
      flex: none;
    }
  }
`
