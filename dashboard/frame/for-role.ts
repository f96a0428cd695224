import { html, type LitElement } from 'lit'
import type { RoleName } from '../../broker/web/api/session.ts'
import { forWhom, may } from '../state/me.ts'

/** Defines an element that only people of a role and above can use; others read for whom it is. */
export function defineFor(least: RoleName, name: string, element: typeof LitElement): void {
  class ForRole extends (element as new () => LitElement) {
    protected override render(): unknown {
      return may(least) ? super.render() : html`<p class="soft">${forWhom(least)}</p>`
    }
  }
  customElements.define(name, ForRole)
}
