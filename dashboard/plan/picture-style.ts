import { css } from 'lit'

/** Lanes and feedings. The heights are those of `picture.ts`. */
export const pictureStyle = css`
  :host {
    display: grid;
    grid-template-columns: auto minmax(0, 1fr);
    background: var(--raised);
    border-radius: 14px;
    overflow: hidden;
  }
  .names {
    display: grid;
    align-content: start;
    padding-top: 42px;
    width: clamp(98px, 14vw, 150px);
    font-size: 0.8125rem;
    font-weight: 650;
    line-height: 1.15;
    border-right: 2px solid var(--line);
  }
  .names span {
    display: flex;
    align-items: center;
    gap: 6px;
    padding: 0 4px 0 10px;
    overflow: hidden;
    overflow-wrap: break-word;
    hyphens: auto;
  }
  .fed {
    height: 54px;
  }
  .lane {
    height: 58px;
  }
  .names svg {
    width: 18px;
    height: 30px;
    flex: none;
  }
  .names path {
    fill: none;
    stroke: var(--glass);
    stroke-width: 12;
    stroke-linejoin: round;
  }
  .on {
    grid-column: 1 / -1;
    margin: 0;
    padding: 6px 12px 8px;
    color: var(--ink-soft);
    font-size: 0.9375rem;
    text-align: right;
  }
  .on::after {
    content: ' →';
  }
  .way {
    /* What fades at the edge goes on there. */
    mask-image: linear-gradient(to left, rgb(0 0 0 / 0.25), #000 36px);
    overflow-x: auto;
    overscroll-behavior-x: contain;
  }
  .way:focus-visible {
    outline: 3px solid var(--ink);
    outline-offset: -3px;
  }
  .way svg {
    display: block;
  }
  text {
    font:
      600 12px system-ui,
      'Noto Sans',
      'Liberation Sans',
      sans-serif;
    fill: var(--ink);
  }
  .hour {
    fill: var(--ink-soft);
    font-weight: 500;
  }
  .night {
    fill: var(--ink);
    opacity: 0.09;
  }
  .midnight {
    stroke: var(--line-strong);
    stroke-width: 1;
    stroke-dasharray: 2 4;
  }
  .shelf {
    stroke: var(--plank-face);
    stroke-width: 3;
  }
  .now {
    stroke: var(--ink);
    stroke-width: 2.5;
  }
  .now-word {
    font-weight: 750;
  }
  .growing {
    fill: var(--brine);
    opacity: 0.42;
  }
  .running .growing {
    opacity: 0.75;
  }
  .ready {
    fill: var(--nauplii);
  }
  .turn {
    fill: none;
    stroke: var(--line-strong);
    stroke-width: 1.5;
    stroke-dasharray: 3 3;
  }
  .doubt {
    stroke: var(--ink-soft);
    stroke-width: 2;
    stroke-linecap: round;
  }
  .begin {
    fill: var(--raised);
    stroke: var(--ink);
    stroke-width: 2.5;
  }
  .running .begin {
    fill: var(--ink);
  }
  .dose {
    font-weight: 700;
    font-size: 13px;
  }
  .strand {
    fill: none;
    stroke: var(--nauplii);
    stroke-width: 1.5;
    opacity: 0.38;
  }
  .strand.tight {
    stroke: var(--warm);
    stroke-dasharray: 4 4;
    opacity: 0.9;
  }
  .plate {
    fill: var(--raised);
    stroke: var(--ink);
    stroke-width: 2;
  }
  .lacks .plate {
    stroke: var(--hot);
    stroke-dasharray: 4 3;
    stroke-width: 2.5;
  }
  .food {
    fill: var(--nauplii);
  }
  .mark {
    fill: var(--hot);
    font-size: 15px;
    font-weight: 800;
  }
`
