import { css } from 'lit'

/** The sign of an alarm in the colour of its priority. */
export const signColours = css`
  .critical svg {
    color: var(--critical);
    --sign-cut: var(--on-critical);
  }
  .high svg {
    color: var(--high);
    --sign-cut: var(--on-high);
  }
  .low svg {
    color: var(--low);
    --sign-cut: var(--on-low);
  }
`
