import { css, html, nothing, type TemplateResult } from 'lit'

const PAGES = [
  { path: '/lots', name: 'Lots' },
  { path: '/batches', name: 'Batches' },
  { path: '/recipes', name: 'Recipes' },
  { path: '/held', name: 'Refrigerator' },
  { path: '/cleaning', name: 'Cleaning' },
  { path: '/tables', name: 'Write out' },
] as const

/** The ways between the pages of the books. */
export const bookNav = (current: (typeof PAGES)[number]['path']): TemplateResult =>
  html`<nav class="book" aria-label="Books">
    ${PAGES.map(
      ({ path, name }) =>
        html`<a href=${path} aria-current=${path === current ? 'page' : nothing}>${name}</a>`,
    )}
  </nav>`

export const bookNavStyle = css`
  nav.book {
    display: flex;
    flex-wrap: wrap;
    gap: 4px 22px;
    border-bottom: 2px solid var(--line);
  }
  nav.book a {
    padding: 12px 0 10px;
    min-height: 48px;
    text-decoration: none;
    font-weight: 600;
    border-bottom: 4px solid transparent;
    margin-bottom: -2px;
  }
  nav.book a[aria-current='page'] {
    border-bottom-color: var(--nauplii);
  }
`
