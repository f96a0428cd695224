import { html, LitElement } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import { fieldText, foot, line, list, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { KEPT_WORDS } from './lot-words.ts'

const KEPT = Object.entries(KEPT_WORDS).map(([value, text]) => ({ value, text }))

/** A new tin on the shelf. */
export class NewLot extends LitElement {
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => 'new-lot')

  static override styles = shared

  override render() {
    return html`<section>
      <h2>Put a lot on the shelf</h2>
      <form novalidate @submit=${this.#submit}>
        <div class="pair">
          ${line('name', 'Name, as on the tin', this.#sending, { maxLength: 80, required: true })}
          ${line('gramsBought', 'Grams in it', this.#sending, { numeric: true, hint: 'May stay empty' })}
        </div>
        ${list('keptIn', 'Kept in', this.#sending, 'freezer', KEPT)}
        ${line('openedOn', 'Opened on', this.#sending, { type: 'date', hint: 'Empty: still closed' })}
        ${line('bestBefore', 'Best before', this.#sending, { type: 'date', hint: 'May stay empty' })}
        ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Put it there</button>`)}
      </form>
    </section>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const text = (name: string) => fieldText(form, name).trim()
    const grams = text('gramsBought') === '' ? null : readNumber(text('gramsBought'))
    const wrong = new Map<string, string>()
    if (text('name') === '') wrong.set('name', 'Write its name.')
    if (text('gramsBought') !== '' && (grams === null || grams <= 0))
      wrong.set('gramsBought', 'Write the grams as a number above 0, or nothing.')
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    const body = {
      name: text('name'),
      gramsBought: grams,
      keptIn: text('keptIn'),
      openedOn: text('openedOn') || null,
      bestBefore: text('bestBefore') || null,
    }
    if (!(await this.#sending.send(() => request('POST', '/shelf', body)))) return
    this.#draft.drop()
    form.reset()
    this.dispatchEvent(new Event('bw-shelf', { bubbles: true, composed: true }))
  }
}
defineFor('helper', 'bw-new-lot', NewLot)
