import { css } from 'lit'

/** The page of the recipe around its shelf: what is wished, what to do, what to mind. */
export const recipeStyle = css`
  .page {
    padding: 0 0 40px;
    gap: 32px;
    max-width: 82rem;
  }
  .inner {
    padding-inline: 16px;
    display: grid;
    gap: 32px;
    align-content: start;
    min-width: 0;
  }
  .wishes {
    display: grid;
    gap: 16px;
    max-width: 34rem;
  }
  .stepper {
    display: grid;
    grid-template-columns: 52px minmax(0, 1fr) 52px;
    gap: 8px;
  }
  .stepper button {
    padding: 0;
    font-size: 1.625rem;
    line-height: 1;
  }
  .stepper input {
    text-align: center;
    font-weight: 700;
    font-variant-numeric: tabular-nums;
  }

  .warn {
    display: grid;
    grid-template-columns: 34px minmax(0, 1fr);
    gap: 4px 12px;
    align-items: start;
    font-weight: 650;
    max-width: 44rem;
  }
  .warn svg {
    color: var(--high);
    --sign-cut: var(--on-high);
  }
  .warnings:not(.none) {
    display: grid;
    gap: 12px;
  }
  .warnings.none {
    display: contents;
  }

  ol.steps {
    margin: 0;
    padding: 0;
    list-style: none;
    display: grid;
    gap: 14px;
    counter-reset: step;
    max-width: 44rem;
  }
  .steps li {
    counter-increment: step;
    display: grid;
    grid-template-columns: 2rem minmax(0, 1fr);
  }
  .steps li::before {
    content: counter(step);
    font-weight: 800;
    font-size: 1.25rem;
    line-height: 1.2;
    color: var(--coral-text, var(--nauplii));
  }

  .effects {
    display: grid;
    gap: 0;
    max-width: 44rem;
  }
  .effects li {
    padding: 12px 0;
    border-top: 1px solid var(--line);
    display: grid;
    gap: 2px;
  }
  .effects .applies {
    border-left: 5px solid var(--brine);
    padding-left: 12px;
  }
  .effects .line {
    display: flex;
    flex-wrap: wrap;
    justify-content: space-between;
    gap: 0 16px;
  }
  .effects .way {
    font-weight: 700;
  }
  .source {
    font-size: 0.875rem;
    color: var(--ink-soft);
    overflow-wrap: anywhere;
  }
  .cautions-list li {
    padding-left: 14px;
    border-left: 5px solid var(--high);
  }
  .start {
    justify-self: start;
  }
  .effects:empty {
    display: none;
  }
  @media (min-width: 1200px) {
    .page {
      grid-template-columns: minmax(360px, 5fr) 8fr;
      grid-template-areas: 'head head' 'shelf shelf' 'wishing doing' 'measuring minding';
      gap: 28px 32px;
      max-width: none;
      padding-inline: max(0px, 50vw - 656px);
    }
    .wishing {
      grid-area: wishing;
    }
    .doing {
      grid-area: doing;
    }
    .measuring {
      grid-area: measuring;
    }
    .minding {
      grid-area: minding;
    }
    .inner {
      padding-inline: 24px;
    }
  }
`
