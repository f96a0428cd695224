import { css } from 'lit'
import { PICTURE, PLANK_FACE, PLANK_Y } from './geometry.ts'

/** The shelf: `--u` is one drawing unit, so that the plank meets the cone at any size. */
export const berthStyle = css`
  :host {
    display: block;
    --u: 0.86px;
  }
  :host([alone]) {
    --u: 1px;
  }
  article {
    position: relative;
    height: 100%;
    padding-bottom: 28px;
  }
  .scene {
    position: relative;
    height: calc(${PICTURE.height} * var(--u));
    /* A pixel to each side, or a seam would show between two vessels; below, what hangs from the shelf may be longer. */
    clip-path: inset(0 calc(-1px - var(--beyond, 0px)) -48px -1px);
  }
  bw-cone {
    position: absolute;
    left: 10px;
    top: 0;
    width: calc(${PICTURE.width} * var(--u));
  }
  /* A second probe's line below the others would end in the ribbon. */
  .scene.four {
    margin-bottom: 24px;
  }
  .plank-top,
  .plank,
  .beyond {
    position: absolute;
    left: 0;
    right: 0;
  }
  /* Past the last vessel the shelf goes on, as far as whoever places it lets it. */
  .beyond {
    left: 100%;
    right: auto;
    width: var(--beyond, 0);
    top: calc(${PLANK_Y - 8} * var(--u));
    height: calc(${PLANK_FACE + 8} * var(--u));
    background: linear-gradient(var(--plank-top) calc(8 * var(--u)), var(--plank-face) 0);
    border-bottom: 2px solid var(--plank-edge);
  }
  .plank-top {
    top: calc(${PLANK_Y - 8} * var(--u));
    height: calc(8 * var(--u));
    background: var(--plank-top);
  }
  .plank {
    top: calc(${PLANK_Y} * var(--u));
    height: calc(${PLANK_FACE} * var(--u));
    background: var(--plank-face);
    border-bottom: 2px solid var(--plank-edge);
  }
  .standing {
    position: absolute;
    left: calc(${PICTURE.width} * var(--u) + 28px);
    right: 12px;
    top: 8px;
    bottom: calc(${PICTURE.height - PLANK_Y + 8} * var(--u));
    display: flex;
    flex-direction: column;
    gap: 4px;
  }
  h1,
  h2 {
    overflow-wrap: anywhere;
    display: -webkit-box;
    -webkit-line-clamp: 2;
    -webkit-box-orient: vertical;
    overflow: hidden;
    padding: 2px;
    margin: -2px;
  }
  h2 a {
    text-decoration: none;
  }
  h2 a::after {
    content: '';
    position: absolute;
    inset: 0;
    z-index: 1;
  }
  h2 a:focus-visible {
    outline: none;
  }
  article:has(h2 a:focus-visible) {
    outline: 3px solid var(--ink);
    outline-offset: -3px;
    border-radius: 8px;
  }
  .state {
    display: flex;
    align-items: center;
    gap: 8px;
    font-size: 1.125rem;
    font-weight: 650;
    line-height: 1.2;
  }
  .state svg {
    flex: none;
  }
  .state.cold,
  .state.returning-cold {
    color: var(--cold);
  }
  .state.cool {
    color: var(--cool);
  }
  .state.warm {
    color: var(--warm);
  }
  .state.right {
    color: var(--right);
  }
  .state.hot,
  .state.returning-hot {
    color: var(--hot);
  }
  .state.idle,
  .state.none,
  .state.within,
  .state.silent {
    color: var(--ink-soft);
  }
  .number {
    margin-top: auto;
    font-size: clamp(3rem, 15vw, 4.25rem);
    line-height: 0.74;
    font-weight: 750;
    letter-spacing: -0.04em;
    font-variant-numeric: tabular-nums;
    display: flex;
    gap: 8px;
    align-items: flex-end;
    white-space: nowrap;
  }
  .number small {
    font-size: 1.0625rem;
    line-height: 1.15;
    letter-spacing: 0;
    font-weight: 650;
    display: grid;
  }
  .number small span + span {
    color: var(--ink-soft);
    font-weight: 500;
  }
  .number.old {
    color: var(--ink-soft);
  }
  .hanging {
    position: absolute;
    left: calc(${PICTURE.width} * var(--u) + 28px);
    right: 8px;
    top: calc(${PLANK_Y + PLANK_FACE + 8} * var(--u));
    font-size: 0.9375rem;
    line-height: 1.35;
  }
  .hanging div {
    display: flex;
    gap: 8px;
  }
  .hanging dt {
    color: var(--ink-soft);
  }
  .hanging dd {
    font-weight: 600;
    font-variant-numeric: tabular-nums;
  }
  .hanging dd.old {
    color: var(--ink-soft);
    font-size: 0.8125rem;
    line-height: 1.55;
    font-weight: 500;
  }
  .way {
    padding: 0 16px;
  }
  .sentence {
    font-size: 1.375rem;
    line-height: 1.25;
    font-weight: 700;
    text-wrap: balance;
    margin-top: 4px;
  }

  .heading {
    display: flex;
    gap: 10px;
    align-items: flex-start;
    margin-top: 8px;
    color: var(--hot);
    font-weight: 650;
    line-height: 1.35;
  }
  .heading svg {
    flex: none;
    margin-top: 1px;
  }
  bw-why {
    margin-top: 12px;
  }
  .out {
    margin-top: 12px;
  }
  .bracket {
    margin-bottom: 8px;
    font-size: 0.9375rem;
    color: var(--ink-soft);
    text-wrap: balance;
  }
  /* Above the link that covers the card. */
  .start {
    position: relative;
    z-index: 2;
    margin-top: 12px;
  }

  .alarmed {
    --sign: var(--low);
    --sign-cut: var(--on-low);
  }
  .alarmed.critical {
    --sign: var(--critical);
    --sign-cut: var(--on-critical);
  }
  .alarmed.high {
    --sign: var(--high);
    --sign-cut: var(--on-high);
  }
  .sign {
    position: absolute;
    left: calc(16px + ${70} * var(--u) - 26px);
    top: calc(96 * var(--u));
    color: var(--sign);
  }
  .flag {
    align-self: start;
    background: var(--sign);
    color: var(--sign-cut);
    font-size: 1.25rem;
    font-weight: 800;
    line-height: 1.15;
    padding: 4px 12px;
    border-radius: 4px;
  }
  .flag.food {
    background: var(--nauplii);
    color: var(--on-nauplii);
  }
  .alarmed .plank {
    background: var(--sign);
  }
  .urgent .sign {
    will-change: transform;
    animation: call 0.9s infinite alternate ease-in-out;
  }
  .urgent .plank {
    animation: flash 0.9s infinite alternate ease-in-out;
  }
  @keyframes call {
    from {
      transform: scale(0.9);
    }
    to {
      transform: scale(1.16);
    }
  }
  @keyframes flash {
    from {
      opacity: 1;
    }
    to {
      opacity: 0.45;
    }
  }
  @media (prefers-reduced-motion: reduce) {
    .urgent .sign,
    .urgent .plank {
      animation: none;
    }
  }
  @media (min-width: 1100px) {
    :host {
      --u: 1px;
    }
    :host([alone]) {
      --u: 1.3px;
    }
  }
  @media (max-width: 380px) {
    :host {
      --u: 0.8px;
    }
    :host([alone]) {
      --u: 0.96px;
    }
    :host([alone]) .number {
      font-size: 3rem;
    }
  }

  /* A name and a flag of two lines each still stand above the number. */
  @media (max-width: 420px) {
    h1,
    h2 {
      font-size: 1.125rem;
      line-height: 1.15;
    }
    .flag {
      font-size: 1rem;
      padding: 3px 8px;
    }
    .state {
      font-size: 1rem;
    }
  }
  /* With three digits and both units it is as wide as the smallest phones allow. */
  @media (max-width: 350px) {
    .number,
    :host([alone]) .number.number {
      font-size: 2.25rem;
      gap: 4px;
    }
    .number small {
      font-size: 0.875rem;
    }
    .scene.four {
      margin-bottom: 40px;
    }
  }
`
