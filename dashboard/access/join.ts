import { css, html, LitElement } from 'lit'
import { fieldText, line, problem, Sending } from '../forms/form.ts'
import { store } from '../state/store.ts'
import { shared } from '../style/shared.ts'
import '../vessel/cone.ts'

/** Where a link leads that the owner made for somebody. */
export class Join extends LitElement {
  readonly #sending = new Sending(this)
  /** Kept here and taken out of the address, so that it does not stay in the browser's history. */
  readonly #secret = location.hash.slice(1)

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        place-items: center;
        min-height: 90vh;
        padding: 24px;
      }
      div.in {
        width: min(100%, 24rem);
        display: grid;
        gap: 20px;
      }
      bw-cone {
        width: 110px;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    if (this.#secret !== '') history.replaceState(null, '', '/join')
  }

  override render() {
    return html`<div class="in">
      <bw-cone></bw-cone>
      <h1>You are let in</h1>
      ${
        this.#secret === ''
          ? html`<p class="failed" role="alert">
              This link is not whole. Open it again as you got it, or ask for a new one.
            </p>`
          : html`<p>The link works once, for this browser. With a password you can sign in on others too.</p>
              <form novalidate @submit=${this.#submit}>
                ${line('password', 'A password of your own, if you like', this.#sending, {
                  type: 'password',
                  autocomplete: 'new-password',
                  hint: 'At least 10 characters. Leave it empty to stay signed in on this browser alone.',
                })}
                ${problem(this.#sending)}
                <button ?disabled=${this.#sending.busy}>Come in</button>
              </form>`
      }
      <p><a href="/">To the room</a></p>
    </div>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const password = fieldText(event.currentTarget as HTMLFormElement, 'password')
    await this.#sending.send(() => store.useLink(this.#secret, password))
  }
}
customElements.define('bw-join', Join)
