import { css } from 'lit'

/** The knobs, what was found (below the sliders), and what is still to be done. */
export const tryOutStyle = css`
  .intro,
  .knobs {
    max-width: 44rem;
  }
  .knobs {
    display: grid;
    gap: 22px;
  }
  .knob {
    display: grid;
    grid-template-columns: 1fr 8.5rem;
    gap: 4px 16px;
    align-items: center;
  }
  .knob label {
    grid-column: 1 / -1;
    font-weight: 650;
  }
  .knob .refusal {
    grid-column: 1 / -1;
  }
  .knob .hint {
    grid-column: 1 / -1;
    color: var(--ink-soft);
    font-size: 0.9375rem;
  }
  input[type='range'] {
    padding: 0;
    min-height: 52px;
    border: 0;
    background: transparent;
    accent-color: var(--nauplii);
    touch-action: pan-y;
  }
  /* Right below the sliders, to be seen while one is under the thumb, and over none of them. */
  .found {
    padding: 10px 0;
    display: grid;
    gap: 8px;
    border-block: 1px solid var(--line);
  }
  .found button {
    min-height: 48px;
    padding: 6px 16px;
  }
  .found strong {
    font-size: 1.125rem;
  }
  /* An empty track must not look like a full bar: drawn, not left to the browser. */
  progress {
    appearance: none;
    width: 100%;
    height: 10px;
    border: 1px solid var(--line-strong);
    border-radius: 5px;
    overflow: hidden;
    background: transparent;
  }
  progress::-webkit-progress-bar {
    background: transparent;
  }
  progress::-webkit-progress-value {
    background: var(--nauplii);
  }
  progress::-moz-progress-bar {
    background: var(--nauplii);
  }
  .pending li {
    display: grid;
    grid-template-columns: minmax(0, 1fr) 7rem 3rem;
    gap: 4px 12px;
    align-items: center;
    padding: 12px 0;
    border-top: 1px solid var(--line);
  }
  .pending li > :last-child {
    text-align: right;
    font-variant-numeric: tabular-nums;
  }
  .row[hidden] {
    display: none;
  }
  .stale {
    opacity: 0.5;
  }
`
