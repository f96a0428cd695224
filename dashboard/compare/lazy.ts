import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'
import type { Route } from '../state/route.ts'
import { askGroupAhead } from './ask.ts'

let fetched: Promise<unknown> | null = null
const opened = lazyPage(() => (fetched = import('./page.ts')), 'Fetching the batches…')

/** Batches side by side; fetched when it is first asked for. */
export function comparePage(
  host: ReactiveControllerHost,
  place: Extract<Route, { view: 'compare' }>,
): TemplateResult {
  // Page and batches come side by side; once the page is there it asks by itself.
  if (fetched === null) askGroupAhead(place)
  return opened(host, location.href, () => html`<bw-compare-page .place=${place}></bw-compare-page>`)
}
