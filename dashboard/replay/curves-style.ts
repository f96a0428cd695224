import { css } from 'lit'

export const replayCurvesStyle = css`
  .widths {
    display: flex;
    flex-wrap: wrap;
    gap: 8px;
  }
  .widths button {
    min-height: 48px;
    padding: 4px 16px;
    font-size: 1rem;
  }
  figure {
    margin-top: 14px;
  }
  figcaption {
    display: flex;
    flex-wrap: wrap;
    justify-content: space-between;
    gap: 0 16px;
    align-items: baseline;
    min-height: 28px;
  }
  .said-then {
    font-variant-numeric: tabular-nums;
    font-weight: 650;
  }
  .plot {
    position: relative;
    touch-action: pan-y;
    min-height: 60px;
    cursor: ew-resize;
  }
  .u-over {
    touch-action: pan-y;
    cursor: ew-resize;
  }
  .moment {
    position: absolute;
    z-index: 2;
    top: 0;
    bottom: 26px;
    left: 0;
    width: 2px;
    margin-left: -1px;
    background: var(--ink);
    pointer-events: none;
    will-change: transform;
  }
  .moment::before {
    content: '';
    position: absolute;
    top: 0;
    left: -5px;
    border: 6px solid transparent;
    border-top: 9px solid var(--ink);
  }
  .u-cursor-x {
    display: none;
  }
  .key {
    display: flex;
    flex-wrap: wrap;
    gap: 4px 20px;
    font-size: 0.9375rem;
    margin-top: 10px;
  }
  .key span {
    display: inline-flex;
    gap: 8px;
    align-items: center;
  }
  .key i {
    width: 26px;
    height: 16px;
    border-top: 4px solid var(--hot);
    background: color-mix(in srgb, var(--hot) 24%, transparent);
  }
  .key .other {
    border-top-color: var(--warm);
    background: color-mix(in srgb, var(--warm) 24%, transparent);
  }
  .key .harvest {
    border: 0;
    background: color-mix(in srgb, var(--nauplii) 26%, transparent);
  }
  .key .expected {
    border: 1px solid var(--right);
    background: var(--expected);
  }
  .key .gap {
    border: 0;
    background: repeating-linear-gradient(45deg, var(--ink-soft) 0 1px, transparent 1px 6px);
  }
`
