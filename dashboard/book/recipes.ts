import { html, LitElement } from 'lit'
import { shared } from '../style/shared.ts'
import { bookNav, bookNavStyle } from './book-nav.ts'
import './own-recipes.ts'

/** Recipes of one's own, all of them, each with what goes in. */
export class Recipes extends LitElement {
  static override styles = [shared, bookNavStyle]

  override render() {
    return html`<div class="page">
      ${bookNav('/recipes')}
      <h1>Your own recipes</h1>
      <bw-own-recipes all></bw-own-recipes>
      <p><a href="/recipe">What goes in, reckoned anew</a></p>
    </div>`
  }
}
customElements.define('bw-recipes', Recipes)
