import { css } from 'lit'

/** The cone through its plank and what goes in: on planks of their own on a phone, on the cone's at a desk. */
export const shelfStyle = css`
  .page {
    --u: 1;
  }
  .page > h1 {
    padding: 14px 16px 0;
    text-wrap: balance;
    overflow-wrap: anywhere;
  }
  .page > .scene {
    margin-top: -24px;
  }
  .scene {
    position: relative;
    height: calc(246px * var(--u));
    overflow: hidden;
  }
  /* 120 by 246 are the drawing's own proportions: the plank meets it where the shelf of the room does. */
  .vessel {
    position: absolute;
    left: 56px;
    top: 0;
    width: calc(120px * var(--u));
    height: calc(246px * var(--u));
  }
  .plank-back,
  .plank {
    position: absolute;
    left: 0;
    right: 0;
  }
  .plank-back {
    top: calc(163px * var(--u) - 7px);
    height: 7px;
    background: var(--plank-top);
  }
  .plank {
    top: calc(163px * var(--u));
    height: 13px;
    background: var(--plank-face);
    border-bottom: 2px solid var(--plank-edge);
  }
  .level {
    position: absolute;
    right: calc(107px * var(--u));
    top: var(--at);
    padding-right: 20px;
    font-weight: 700;
    line-height: 1;
    transform: translateY(-50%);
    white-space: nowrap;
  }
  .level::after {
    content: '';
    position: absolute;
    right: 0;
    top: 50%;
    width: 15px;
    border-top: 2px solid var(--ink);
  }
  .glance {
    position: absolute;
    left: 188px;
    right: 8px;
    bottom: 98px;
  }
  .glance li {
    line-height: 1.45;
    white-space: nowrap;
  }
  .glance strong {
    font-size: 1.375rem;
    font-weight: 800;
    letter-spacing: -0.01em;
  }

  .amounts {
    padding-inline: 16px;
  }
  .goes {
    display: grid;
    gap: 26px;
    max-width: 44rem;
  }
  .stand {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    gap: 0 12px;
  }
  .goes h3,
  .goes .as {
    grid-column: 1;
  }
  .goes .grams {
    grid-column: 2;
    grid-row: 1 / span 2;
    font-size: 2.75rem;
    line-height: 1.05;
    font-weight: 800;
    letter-spacing: -0.02em;
    font-variant-numeric: tabular-nums;
    white-space: nowrap;
  }
  .goes .grams small {
    font-size: 1.125rem;
    font-weight: 650;
    letter-spacing: 0;
    margin-left: 4px;
  }
  .goes .more {
    margin-top: 8px;
    font-size: 0.9375rem;
  }
  .spoons {
    grid-column: 1 / -1;
    display: flex;
    /* The first and largest stand on the plank; what has no room is above them. */
    flex-wrap: wrap-reverse;
    align-items: end;
    align-content: start;
    gap: 6px 8px;
    margin-top: 10px;
    min-height: 30px;
    border-bottom: 2px solid var(--plank-edge);
    background: linear-gradient(transparent calc(100% - 13px), var(--plank-face) 0);
    padding-bottom: 13px;
  }
  .spoons svg {
    display: block;
    margin-bottom: -1px;
  }
  .spoons .times {
    font-size: 1.5rem;
    align-self: center;
    margin-right: 14px;
  }
  .handle,
  .bowl {
    fill: var(--kit-dark);
    stroke: var(--kit);
    stroke-width: 2;
    stroke-linejoin: round;
  }
  .rim {
    fill: none;
    stroke: var(--kit);
    stroke-width: 2;
  }
  .stamp {
    fill: var(--ink);
    font-size: 11.5px;
    font-weight: 700;
    text-anchor: end;
  }
  .grains {
    fill: none;
    stroke-width: 2.6;
    stroke-linecap: round;
  }
  .salt .filling,
  .soda .filling {
    fill: #fbf8ef;
  }
  .salt .grains {
    stroke: #a9b6b4;
  }
  .soda .grains {
    stroke: #dcdcd6;
  }
  .cysts .filling {
    fill: #8a5f38;
  }
  .cysts .grains {
    stroke: #d0a574;
  }
  .water .filling {
    fill: var(--brine);
    opacity: 0.55;
  }
  .glass,
  .scale {
    fill: none;
    stroke: var(--glass);
    stroke-width: 2.2;
    stroke-linejoin: round;
    stroke-linecap: round;
  }
  .scale {
    stroke-width: 1.4;
  }

  @media (min-width: 1200px) {
    .page {
      --u: 1.3;
    }
    .page > h1 {
      grid-area: head;
      padding: 14px 24px 0;
    }
    .page > .scene,
    .amounts {
      grid-area: shelf;
      margin-top: -24px;
    }
    .scene {
      margin-inline: min(0px, 656px - 50vw);
    }
    .vessel {
      left: max(80px, 50vw - 576px);
    }
    .glance {
      display: none;
    }
    .amounts {
      padding: 0 24px 0 290px;
      z-index: 1;
    }
    .goes {
      grid-template-columns: 4fr 7fr 5fr 5fr;
      gap: 20px;
      max-width: none;
    }
    .stand {
      height: calc(163px * var(--u) - 7px);
      grid-template-columns: minmax(0, 1fr);
      grid-template-rows: auto auto auto 1fr;
      align-content: end;
    }
    .goes .grams {
      grid-column: 1;
      grid-row: 3;
    }
    .spoons {
      border: 0;
      background: none;
      padding: 0;
      margin: 0;
      align-self: end;
    }
    .spoons svg {
      height: 44px;
      width: auto;
    }
    .goes .more {
      margin-top: 32px;
    }
  }
`
