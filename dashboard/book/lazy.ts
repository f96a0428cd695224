import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'

/** The pages of the breeder's books. Whoever watches vessels does not wait for them: each is fetched when it is first asked for. */
const PAGES = {
  lots: { fetch: () => import('../views/lots.ts'), draw: () => html`<bw-lots></bw-lots>` },
  held: { fetch: () => import('./refrigerator.ts'), draw: () => html`<bw-refrigerator></bw-refrigerator>` },
  cleaning: { fetch: () => import('./cleaning.ts'), draw: () => html`<bw-cleaning></bw-cleaning>` },
  tables: { fetch: () => import('./tables.ts'), draw: () => html`<bw-tables></bw-tables>` },
  'set-up': {
    fetch: () => import('./set-up.ts'),
    draw: (id: string) => html`<bw-set-up .vesselId=${id}></bw-set-up>`,
  },
  harvest: {
    fetch: () => import('./harvest.ts'),
    draw: (id: string) => html`<bw-harvest .vesselId=${id}></bw-harvest>`,
  },
  sheet: {
    fetch: () => import('./sheet.ts'),
    draw: (id: string) => html`<bw-sheet .batchId=${id}></bw-sheet>`,
  },
} as const
export type BookPage = keyof typeof PAGES

const fetched = new Map<BookPage, 'asked' | 'there' | 'failed'>()

export function bookPage(host: ReactiveControllerHost, page: BookPage, id = ''): TemplateResult {
  const state = fetched.get(page)
  if (state === undefined) {
    fetched.set(page, 'asked')
    const settle = (how: 'there' | 'failed') => () => {
      fetched.set(page, how)
      host.requestUpdate()
    }
    PAGES[page].fetch().then(settle('there'), settle('failed'))
  }
  if (state === 'there') return PAGES[page].draw(id)
  if (state !== 'failed') return html`<p class="opening soft">Opening the book…</p>`
  // With a target of its own the link loads the page anew.
  return html`<p class="opening">
    This page could not be fetched. <a href=${location.href} target="_self">Try again</a>
  </p>`
}
