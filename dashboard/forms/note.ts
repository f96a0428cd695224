import { html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { noteDraft } from './note-draft.ts'
import { fieldText, foot, line, Sending } from './form.ts'
import { closeEvent, seenEvent, writeDown } from './seen-event.ts'

/** A note beside the batch: what no number says. */
export class NoteForm extends LitElement {
  static override properties = { batch: { attribute: false } }
  declare batch: Batch | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.batch ? noteDraft(this.batch.id) : null))

  constructor() {
    super()
    this.batch = null
  }
  static override styles = shared

  override render() {
    if (!this.batch) return nothing
    return html`<form novalidate @submit=${this.#submit}>
      ${line('text', 'What is there to see?', this.#sending, { maxLength: 2000, required: true })}
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>Keep the note</button>
          <button type="button" class="quiet" @click=${this.#close}>No note</button>`,
      )}
    </form>`
  }

  override firstUpdated(): void {
    this.renderRoot.querySelector('input')?.focus()
  }

  readonly #close = (): void => {
    this.#draft.drop()
    this.dispatchEvent(closeEvent())
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const text = fieldText(event.currentTarget as HTMLFormElement, 'text').trim()
    if (text === '') return this.#sending.refuse(new Map([['text', 'Write something, or go back.']]))
    const { batch } = this
    if (!batch) return
    await this.#sending.send(async () => {
      const kept = await writeDown(batch.id, { kind: 'note', text })
      this.#draft.drop()
      this.dispatchEvent(seenEvent(kept))
    })
  }
}
defineFor('helper', 'bw-note-form', NoteForm)
