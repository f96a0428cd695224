import { html, type LitElement } from 'lit'
import type { RoleName } from '../../broker/web/api/session.ts'
import { forWhom, may } from '../state/me.ts'

/** Defines an element that only people of a role and above can use; others read for whom it is, under `heading` where it is a whole page. */
export function defineFor(
  least: RoleName,
  name: string,
  element: typeof LitElement,
  heading: string | null = null,
): void {
  class ForRole extends (element as new () => LitElement) {
    protected override render(): unknown {
      if (may(least)) return super.render()
      const words = html`<p class="soft">${forWhom(least)}</p>`
      return heading === null
        ? words
        : html`<div class="page">
            <section>
              <h1>${heading}</h1>
              ${words}
            </section>
          </div>`
    }
  }
  customElements.define(name, ForRole)
}
