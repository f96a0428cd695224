import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Usual } from '../../broker/web/api/books.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { setUpPath, vesselPath } from '../state/route.ts'
import { shared } from '../style/shared.ts'
import { about, cystSpoons, gramsText, litresText } from '../words/amounts.ts'
import { GOAL_WORDS } from '../words/goal.ts'
import { Fetched } from './fetched.ts'
import { noteStarted } from './just-started.ts'

const FROM: Readonly<Record<Usual['from'], string>> = {
  preset: 'Your own recipe for this vessel.',
  'last-here': 'As its last batch.',
  'last-elsewhere': 'As your last batch, for the water of this vessel.',
  recipe: 'The usual recipe of the trade.',
}

/** The usual batch, in two taps: one that says what it would be, one that starts it. */
export class UsualBatch extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    /** On the vessel's own page: it stands open. */
    alone: { type: Boolean, reflect: true },
    open: { state: true },
  }
  declare vessel: Vessel | null
  declare alone: boolean
  declare open: boolean
  readonly #sending = new Sending(this)
  readonly #usual = new Fetched<Usual>(this, () =>
    this.vessel && (this.open || this.alone)
      ? `/batches/usual?vesselId=${encodeURIComponent(this.vessel.id)}`
      : null,
  )

  constructor() {
    super()
    this.vessel = null
    this.alone = false
    this.open = false
  }

  static override styles = [
    shared,
    css`
      .usual {
        display: grid;
        gap: 12px;
        padding: 14px 16px;
        background: var(--raised);
        border-left: 4px solid var(--nauplii);
        border-radius: 4px;
      }
      .dose {
        font-size: 1.125rem;
        font-weight: 700;
        overflow-wrap: anywhere;
      }
      .go {
        min-height: 64px;
      }
      .other {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 20px;
      }
      .other a {
        padding: 12px 0;
        min-height: 48px;
      }
    `,
  ]

  override render() {
    const { vessel } = this
    if (!vessel || vessel.batch) return nothing
    if (!this.open && !this.alone)
      return html`<button class="quiet" @click=${this.#openUp}>
        Start a batch<span class="hidden"> in ${vessel.name}</span>
      </button>`
    const usual = this.#usual.value
    if (this.#usual.problem !== '')
      return html`<p class="failed" role="status">${this.#usual.problem}</p>
        <a href=${vesselPath(vessel.id)}>Write the amounts yourself</a>`
    if (!usual) return html`<p class="soft" role="status">Looking up the usual…</p>`
    const { litres, cystsG, salinityGpl, lot } = usual
    return html`<div class="usual" role="group" aria-label="The usual batch in ${vessel.name}">
      <p class="dose">
        ${litresText(litres)} of water, ${gramsText(cystsG)} of ${lot?.name ?? 'cysts'},
        ${Number(salinityGpl.toFixed(1))} g/L salt
      </p>
      <p class="soft">
        ${usual.recipe === undefined ? FROM[usual.from] : html`Your own recipe <a href="/recipes">${usual.recipe}</a>.`}
        ${usual.goal === 'balanced' ? nothing : html`${GOAL_WORDS[usual.goal].name}: ${GOAL_WORDS[usual.goal].means}.`}
        The cysts are ${about(cystSpoons(cystsG))}.
        ${
          lot === null || lot.gramsLeft === null
            ? nothing
            : html`${gramsText(lot.gramsLeft)} of that lot are left.`
        }
        ${usual.lacksCysts ? html`<strong>No lot on the shelf holds so much any more.</strong>` : nothing}
      </p>
      ${problem(this.#sending)}
      <button class="go" ?disabled=${this.#sending.busy} @click=${this.#start}>Start it now</button>
      <div class="other">
        <a href=${setUpPath(vessel.id)}>Set it up step by step</a>
        ${this.alone ? nothing : html`<a href=${vesselPath(vessel.id)}>Other amounts</a>`}
      </div>
    </div>`
  }

  readonly #openUp = async (): Promise<void> => {
    this.open = true
    while (!this.#usual.value && this.#usual.problem === '')
      await new Promise(resolve => setTimeout(resolve, 20))
    await this.updateComplete
    this.renderRoot.querySelector<HTMLElement>('.go')?.focus()
  }

  readonly #start = async (): Promise<void> => {
    const usual = this.#usual.value
    if (!usual) return
    const { vesselId, litres, cystsG, salinityGpl, goal, lot } = usual
    const body = { vesselId, litres, cystsG, salinityGpl, goal, ...(lot ? { lot: lot.name } : {}) }
    await this.#sending.send(async () =>
      noteStarted((await request<Batch>('POST', '/batches', body)).id, Date.now()),
    )
  }
}
defineFor('helper', 'bw-usual', UsualBatch)
