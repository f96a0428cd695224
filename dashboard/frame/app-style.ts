import { css } from 'lit'

/** The bar on top, the ways to the views (at the foot of a phone, on top of a desk), and the view between them. */
export const appStyle = css`
  :host {
    display: flex;
    flex-direction: column;
    min-height: 100vh;
    min-height: 100dvh;
  }
  .top {
    position: sticky;
    top: 0;
    z-index: 5;
    background: var(--ground);
  }
  /* While an alarm stands, its name and buttons stay on a phone, and the line above them may go. */
  @media (max-width: 719px) {
    .top:has(bw-alarms[standing]) {
      top: -60px;
    }
    .top:has(bw-alarms[standing]) .skip:focus {
      top: 68px;
    }
  }
  .line {
    display: flex;
    align-items: center;
    gap: 8px;
    padding: 6px 10px 6px 16px;
  }
  .name {
    font-weight: 800;
    font-size: 1.125rem;
    letter-spacing: -0.01em;
    text-decoration: none;
    margin-right: auto;
    min-height: 48px;
    display: flex;
    align-items: center;
    gap: 8px;
  }
  .name svg {
    color: var(--brine);
  }
  @media (max-width: 430px) {
    .line {
      padding: 6px 12px;
    }
    .name {
      gap: 6px;
      font-size: 1rem;
    }
  }
  nav {
    display: flex;
  }
  nav a {
    flex: 1;
    min-height: 56px;
    display: grid;
    place-items: center;
    text-decoration: none;
    font-weight: 650;
    padding: 0 18px;
    border-top: 4px solid transparent;
  }
  nav a[aria-current='page'] {
    border-top-color: var(--nauplii);
  }
  main {
    flex: 1;
  }
  .opening {
    padding: 30vh 16px;
    text-align: center;
  }
  .skip {
    position: absolute;
    left: 8px;
    top: -100px;
    z-index: 9;
  }
  .skip:focus {
    top: 8px;
  }
  @media (max-width: 959px) {
    nav {
      position: sticky;
      bottom: 0;
      z-index: 5;
      order: 9;
      background: var(--ground);
      border-top: 2px solid var(--line);
      padding-bottom: env(safe-area-inset-bottom);
    }
    /* Five of them side by side on 360 px. */
    nav a {
      flex: 1 1 auto;
      padding: 0 4px;
      font-size: 0.875rem;
    }
  }
  /* The narrowest phones, and 400 % of a desk. */
  @media (max-width: 345px) {
    .line {
      gap: 4px;
      padding: 6px 8px;
    }
    .name {
      gap: 4px;
      font-size: 0.875rem;
    }
    nav a {
      padding: 0 1px;
      font-size: 0.75rem;
    }
  }
  /* Paper has no alarms, and leads nowhere. */
  @media print {
    .top,
    bw-set-aside,
    nav {
      display: none;
    }
  }
  @media (min-width: 720px) {
    .line {
      padding: 8px 24px;
    }
  }
  @media (min-width: 960px) {
    /* Wide enough for all five beside the name and the sound. In the first line of the bar, which stays on top. */
    nav {
      position: fixed;
      z-index: 6;
      top: 4px;
      left: 190px;
    }
    nav a {
      border-top: 0;
      border-bottom: 4px solid transparent;
    }
    nav a[aria-current='page'] {
      border-bottom-color: var(--nauplii);
    }
  }
`
