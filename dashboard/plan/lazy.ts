import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'

const plan = lazyPage(() => import('./page.ts'), 'Counting meals…')

/** Whoever watches vessels does not wait for the page of the plan: it is fetched when it is first asked for. */
export function planPage(host: ReactiveControllerHost): TemplateResult {
  return plan(host, '/plan', () => html`<bw-plan></bw-plan>`)
}
