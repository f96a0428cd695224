import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'

const page = lazyPage(() => import('../views/recipe.ts'), 'Laying out the spoons…')

/** Whoever watches vessels does not wait for the page of the recipe: it is fetched when it is first asked for. */
export function recipePage(host: ReactiveControllerHost, vesselId: string): TemplateResult {
  return page(host, '/recipe', () => html`<bw-recipe .vesselId=${vesselId}></bw-recipe>`)
}
