import { css } from 'lit'

/** What the parts of "Who is called" share. */
export const notifyStyle = css`
  h4 {
    margin: 0;
    font-size: 1rem;
  }
  .card {
    border-top: 2px solid var(--line);
    padding: 16px 0;
    display: grid;
    gap: 12px;
  }
  .ways {
    display: grid;
    gap: 14px;
  }
  .way {
    display: grid;
    gap: 8px;
  }
  .way p,
  .card p {
    overflow-wrap: anywhere;
  }
  fieldset.way {
    border-top: 1px solid var(--line);
    padding-top: 14px;
    gap: 14px;
  }
  fieldset.way legend {
    padding: 0;
    float: left;
  }
  fieldset.way legend + * {
    clear: both;
  }
  .arrived::before {
    content: '✓ ';
    color: var(--right);
  }
  .not::before {
    content: '✕ ';
    color: var(--hot);
  }
  button.small {
    min-height: 48px;
    padding: 8px 16px;
    font-size: 1rem;
  }
`
