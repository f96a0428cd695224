import { css } from 'lit'

export const reportStyle = css`
  .sheet {
    max-width: 54rem;
    gap: 16px;
  }
  header {
    display: grid;
    gap: 2px;
  }
  .verdict {
    font-size: 1.25rem;
    font-weight: 700;
    line-height: 1.3;
  }
  .causes {
    display: grid;
    gap: 8px;
    margin: 0;
    padding: 0;
    list-style: none;
  }
  .causes li {
    display: grid;
    grid-template-columns: 1.6em minmax(0, 1fr);
    gap: 0 6px;
    border-top: 1px solid var(--line);
    padding-top: 6px;
  }
  .causes p {
    grid-column: 2;
  }
  .causes .rank {
    grid-column: 1;
    grid-row: 1;
    font-weight: 700;
  }
  .noted {
    columns: 20rem 2;
    column-gap: 24px;
    margin: 0;
    padding: 0;
    list-style: none;
    font-size: 0.9375rem;
  }
  .noted li {
    break-inside: avoid;
    display: grid;
    grid-template-columns: 1.8em max-content minmax(0, 1fr);
    gap: 6px;
    padding: 2px 0;
  }
  .noted b,
  .noted time {
    font-variant-numeric: tabular-nums;
  }
  .noted span {
    overflow-wrap: anywhere;
  }
  .figures {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(min(100%, 15rem), 1fr));
    gap: 2px 28px;
  }
  .figures div {
    display: flex;
    justify-content: space-between;
    gap: 12px;
    border-top: 1px solid var(--line);
    padding: 3px 0;
  }
  dt {
    color: var(--ink-soft);
    flex: 0 1 auto;
  }
  /* A long label gives way: a figure is never broken within a word. */
  dd {
    font-weight: 600;
    text-align: right;
    flex: 0 0 auto;
    max-width: 70%;
    overflow-wrap: break-word;
  }
  svg {
    width: 100%;
    height: auto;
    display: block;
  }
  svg.narrow {
    display: none;
  }
  @media screen and (max-width: 640px) {
    svg.narrow {
      display: block;
    }
    svg.wide {
      display: none;
    }
    /* A long label and its figure stand below each other rather than break a number. */
    .figures div {
      flex-wrap: wrap;
    }
    .figures dt {
      flex: 0 1 auto;
    }
    .figures dd {
      margin-left: auto;
      overflow-wrap: break-word;
    }
    .noted li {
      grid-template-columns: 1.8em minmax(0, 1fr);
    }
    .noted span {
      grid-column: 2;
      overflow-wrap: break-word;
    }
  }
  svg text {
    font-size: 11px;
    fill: var(--ink);
  }
  svg .small {
    font-size: 9.5px;
    fill: var(--ink-soft);
  }
  svg .title {
    font-weight: 700;
    paint-order: stroke;
    stroke: var(--ground);
    stroke-width: 3px;
  }
  svg .on-line {
    paint-order: stroke;
    stroke: var(--ground);
    stroke-width: 3px;
  }
  svg .number {
    font-size: 12px;
    font-weight: 700;
  }
  svg .frame {
    fill: none;
    stroke: var(--line-strong);
  }
  svg .grid {
    stroke: var(--line);
  }
  svg .tick {
    stroke: var(--ink);
  }
  svg .event {
    stroke: var(--ink-soft);
    stroke-dasharray: 2 3;
  }
  svg .lead {
    stroke: var(--ink-soft);
    stroke-width: 0.8;
  }
  svg .limit {
    stroke: var(--ink);
    stroke-dasharray: 8 4;
  }
  svg .expected {
    fill: var(--ink);
    fill-opacity: 0.1;
    stroke: var(--ink-soft);
    stroke-width: 0.7;
    stroke-dasharray: 3 2;
  }
  svg .measured {
    fill: none;
    stroke: var(--ink);
    stroke-width: 1.8;
    stroke-linejoin: round;
  }
  svg .upper {
    stroke-width: 1.3;
    stroke-dasharray: 5 4;
  }
  svg .thin {
    stroke-width: 1.2;
  }
  svg .hatching {
    stroke: var(--ink);
    stroke-opacity: 0.55;
    stroke-width: 1.2;
  }
  svg .blamed {
    stroke: var(--ink-soft);
    stroke-width: 0.7;
  }
  svg .blamed.other {
    opacity: 0.5;
  }
  .key {
    font-size: 0.875rem;
    color: var(--ink-soft);
  }
  @media print {
    /* One page, on A4 and on Letter: what has no room is told by number on the page itself. */
    .sheet {
      height: 256mm;
      overflow: clip;
      break-inside: avoid;
      display: flex;
      flex-direction: column;
      gap: 2.6mm;
      font-size: 8.5pt;
      line-height: 1.28;
    }
    h1 {
      font-size: 13pt;
    }
    h2 {
      font-size: 9.5pt;
    }
    section {
      gap: 1mm;
    }
    .verdict {
      font-size: 12pt;
      line-height: 1.2;
    }
    .causes {
      gap: 1mm;
    }
    .causes li {
      padding-top: 0.8mm;
    }
    .causes p,
    .noted span {
      display: -webkit-box;
      -webkit-box-orient: vertical;
      -webkit-line-clamp: 2;
      overflow: hidden;
    }
    .noted span {
      -webkit-line-clamp: 3;
    }
    .noted {
      columns: 2;
      font-size: 8pt;
    }
    .noted li {
      padding: 0.2mm 0;
    }
    .figures {
      margin: 0;
      grid-template-columns: 1fr 1fr 1fr;
      gap: 0 5mm;
    }
    .figures div {
      padding: 0.5mm 0;
    }
    .key {
      font-size: 7.5pt;
    }
    svg {
      flex: none;
      max-height: 92mm;
    }
    .foot {
      margin-top: auto;
    }
  }
`
