import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'
import type { Route } from '../state/route.ts'
import { askAhead } from './ask.ts'

let fetched: Promise<unknown> | null = null
const opened = lazyPage(() => (fetched = import('./page.ts')), 'Fetching the batch…')

/** A batch looked at again. The address that is asked for comes in whole, so that the same one asked for again is a new wish. */
export function replayPage(
  host: ReactiveControllerHost,
  place: Extract<Route, { view: 'batch' }>,
): TemplateResult {
  // Page and batch come side by side; once the page is there it asks by itself.
  if (fetched === null) askAhead(place.batchId)
  return opened(host, location.href, () => html`<bw-replay-page .place=${place}></bw-replay-page>`)
}
