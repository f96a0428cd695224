import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'

/** Whoever watches vessels does not wait for the page of the recipe: it is fetched when it is first asked for. */
let fetched: 'not' | 'asked' | 'there' | 'failed' = 'not'

export function recipePage(host: ReactiveControllerHost, vesselId: string): TemplateResult {
  if (fetched === 'not') {
    fetched = 'asked'
    const settle = (how: 'there' | 'failed') => () => {
      fetched = how
      host.requestUpdate()
    }
    import('../views/recipe.ts').then(settle('there'), settle('failed'))
  }
  if (fetched === 'there') return html`<bw-recipe .vesselId=${vesselId}></bw-recipe>`
  if (fetched === 'asked') return html`<p class="opening soft">Laying out the spoons…</p>`
  // With a target of its own the link loads the page anew.
  return html`<p class="opening">
    This page could not be fetched. <a href="/recipe" target="_self">Try again</a>
  </p>`
}
