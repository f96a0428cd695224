import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'

/** Whoever watches vessels does not wait for the page of the plan: it is fetched when it is first asked for. */
let fetched: 'not' | 'asked' | 'there' | 'failed' = 'not'

export function planPage(host: ReactiveControllerHost): TemplateResult {
  if (fetched === 'not') {
    fetched = 'asked'
    const settle = (how: 'there' | 'failed') => () => {
      fetched = how
      host.requestUpdate()
    }
    import('./page.ts').then(settle('there'), settle('failed'))
  }
  if (fetched === 'there') return html`<bw-plan></bw-plan>`
  if (fetched === 'asked') return html`<p class="opening soft">Counting meals…</p>`
  // With a target of its own the link loads the page anew.
  return html`<p class="opening">
    This page could not be fetched. <a href="/plan" target="_self">Try again</a>
  </p>`
}
