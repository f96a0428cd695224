import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'
import type { Route } from '../state/route.ts'

const opened = lazyPage(() => import('./page.ts'), 'Fetching the batches…')

/** Batches side by side; fetched when it is first asked for. */
export function comparePage(
  host: ReactiveControllerHost,
  place: Extract<Route, { view: 'compare' }>,
): TemplateResult {
  return opened(host, location.href, () => html`<bw-compare-page .place=${place}></bw-compare-page>`)
}
