import { css, html, LitElement, nothing } from 'lit'
import { field, fieldText, Sending } from '../forms/form.ts'
import { ApiError } from '../state/api.ts'
import { store } from '../state/store.ts'
import { shared } from '../style/shared.ts'
import '../vessel/cone.ts'

/** Asked for when the broker is reachable beyond its own machine. */
export class SignIn extends LitElement {
  readonly #sending = new Sending(this)
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

  override render() {
    const { busy, problem } = this.#sending
    return html`<div class="in">
      <bw-cone></bw-cone>
      <h1>Whose fish room is this?</h1>
      <form novalidate @submit=${this.#submit}>
        ${field(
          'password',
          'Password',
          this.#sending,
          at =>
            html`<input
              id=${at.id}
              name="password"
              type="password"
              autocomplete="current-password"
              required
              aria-describedby=${at.describedBy}
              aria-invalid=${at.invalid}
            />`,
          'It was set on the console of the machine that runs brinewatch.',
        )}
        ${problem ? html`<p class="failed" role="alert">${problem}</p>` : nothing}
        <button ?disabled=${busy}>Sign in</button>
      </form>
    </div>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const password = fieldText(event.currentTarget as HTMLFormElement, 'password')
    if (password === '') return this.#sending.refuse(new Map([['password', 'Type the password.']]))
    await this.#sending.send(async () => {
      try {
        await store.signIn(password)
      } catch (error) {
        if (error instanceof ApiError && error.status === 401 && error.fields.size === 0)
          throw new ApiError(401, error.message, new Map([['password', 'That is not the password.']]))
        throw error
      }
    })
  }
}
customElements.define('bw-sign-in', SignIn)
