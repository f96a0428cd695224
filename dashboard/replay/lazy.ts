import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'
import type { Route } from '../state/route.ts'

const opened = lazyPage(() => import('./page.ts'), 'Fetching the batch…')

/** A batch looked at again. The address that is asked for comes in whole, so that the same one asked for again is a new wish. */
export const replayPage = (
  host: ReactiveControllerHost,
  place: Extract<Route, { view: 'batch' }>,
): TemplateResult =>
  opened(host, location.href, () => html`<bw-replay-page .place=${place}></bw-replay-page>`)
