import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'

/** The pages of the breeder's books. Whoever watches vessels does not wait for them: each is fetched when it is first asked for. */
const PAGES = {
  lots: { fetch: () => import('../views/lots.ts'), draw: () => html`<bw-lots></bw-lots>` },
  held: { fetch: () => import('./refrigerator.ts'), draw: () => html`<bw-refrigerator></bw-refrigerator>` },
  cleaning: { fetch: () => import('./cleaning.ts'), draw: () => html`<bw-cleaning></bw-cleaning>` },
  tables: { fetch: () => import('./tables.ts'), draw: () => html`<bw-tables></bw-tables>` },
  recipes: { fetch: () => import('./recipes.ts'), draw: () => html`<bw-recipes></bw-recipes>` },
  batches: { fetch: () => import('../handover/batches.ts'), draw: () => html`<bw-batches></bw-batches>` },
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
  report: {
    fetch: () => import('../report/report.ts'),
    draw: (id: string) => html`<bw-report .batchId=${id}></bw-report>`,
  },
} as const
export type BookPage = keyof typeof PAGES

const waiting = 'Opening the book…'
const opened = new Map(
  Object.entries(PAGES).map(([page, { fetch }]) => [page, lazyPage(fetch, waiting)] as const),
)

export function bookPage(host: ReactiveControllerHost, page: BookPage, id = ''): TemplateResult {
  return opened.get(page)!(host, location.href, () => PAGES[page].draw(id))
}
