import { css, html, LitElement } from 'lit'
import { fieldText, line, problem, Sending } from '../forms/form.ts'
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
    const { busy } = this.#sending
    return html`<div class="in">
      <bw-cone></bw-cone>
      <h1>Whose fish room is this?</h1>
      <form novalidate @submit=${this.#submit}>
        ${line('password', 'Password', this.#sending, {
          type: 'password',
          autocomplete: 'current-password',
          required: true,
          hint: 'It was set on the console of the machine that runs brinewatch.',
        })}
        ${line('name', 'Your name, if you were let in by a link', this.#sending, {
          autocomplete: 'username',
          maxLength: 60,
          hint: 'Empty with the owner’s password.',
        })}
        ${problem(this.#sending)}
        <button ?disabled=${busy}>Sign in</button>
      </form>
    </div>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const password = fieldText(form, 'password')
    if (password === '') return this.#sending.refuse(new Map([['password', 'Type the password.']]))
    await this.#sending.send(async () => {
      try {
        await store.signIn(password, fieldText(form, 'name').trim())
      } catch (error) {
        if (error instanceof ApiError && error.status === 401 && error.fields.size === 0)
          throw new ApiError(401, error.message, new Map([['password', 'That is not the password.']]))
        throw error
      }
    })
  }
}
customElements.define('bw-sign-in', SignIn)
