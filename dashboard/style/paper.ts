import { css } from 'lit'

/** What every sheet of paper here has in common: ink on white, and nothing that only a screen needs. */
export const paper = css`
  .paper {
    display: none;
  }
  @media print {
    :host {
      --ink: #000;
      --ink-soft: #444;
      --line: #bbb;
      --line-strong: #777;
      --brine: #000;
      --ground: #fff;
      --raised: #fff;
      color: #000;
    }
    .screen {
      display: none;
    }
    .paper {
      display: block;
    }
    .sheet {
      max-width: none;
      padding: 0;
      gap: 10px;
    }
    h1 {
      font-size: 16pt;
    }
    h2 {
      font-size: 11pt;
    }
  }
`

/** Margins belong to the document and not to an element: they hold while a sheet with its own is shown. Gives what takes them off. */
export function pageMargin(margin: string): () => void {
  const sheet = new CSSStyleSheet()
  // Ink on white also where the page is dark and its ground is printed.
  sheet.replaceSync(`@page { margin: ${margin} } @media print { :root { background: #fff } }`)
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]
  return () => {
    document.adoptedStyleSheets = document.adoptedStyleSheets.filter(each => each !== sheet)
  }
}
