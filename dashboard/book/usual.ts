import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Usual } from '../../broker/web/api/books.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { setUpPath, vesselPath } from '../state/route.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { about, cystSpoons, gramsText, litresText } from '../words/amounts.ts'
import { GOAL_WORDS } from '../words/goal.ts'
import { Fetched } from './fetched.ts'
import { noteStarted } from './just-started.ts'
import { cleaningDueOf, usualFromText, usualLotText } from './usual-words.ts'

/** The usual batch, in two taps: one that says what it would be, one that starts it. */
export class UsualBatch extends LitElement {
  static override properties = {
    vessel: { attribute: false },
    /** On the vessel's own page: it stands open. */
    alone: { type: Boolean, reflect: true },
    open: { state: true },
    chosen: { state: true },
  }
  declare vessel: Vessel | null
  declare alone: boolean
  declare open: boolean
  /** The lot that a person chose, '' for none; `null` while the offered one stands. */
  declare chosen: string | null
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #reminders = new Watch(this, from => from.state.reminders)
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
    this.chosen = null
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
      .lot {
        display: grid;
        gap: 6px;
      }
      .lot select {
        min-height: 48px;
      }
      .due {
        padding-left: 10px;
        border-left: 4px solid var(--warm);
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
    const nameOf = (id: string) => this.#vessels.value.get(id)?.name
    const named = this.#lotOf(usual)
    const cleaning = cleaningDueOf(this.#reminders.value, vessel.id)
    return html`<div class="usual" role="group" aria-label="The usual batch in ${vessel.name}">
      <p class="dose">
        ${litresText(litres)} of water, ${gramsText(cystsG)} of ${named ?? 'cysts'},
        ${Number(salinityGpl.toFixed(1))} g/L salt
      </p>
      <p class="soft">
        ${usual.recipe === undefined ? usualFromText(usual, nameOf) : html`Your own recipe <a href="/recipes">${usual.recipe}</a>.`}
        ${usual.goal === 'balanced' ? nothing : html`${GOAL_WORDS[usual.goal].name}: ${GOAL_WORDS[usual.goal].means}.`}
        The cysts are ${about(cystSpoons(cystsG))}.
        ${
          lot === null || lot.gramsLeft === null || named !== lot.name
            ? nothing
            : html`${gramsText(lot.gramsLeft)} of that lot are left.`
        }
        ${usual.lacksCysts ? html`<strong>No lot on the shelf holds so much any more.</strong>` : nothing}
      </p>
      ${this.#lots(usual, usualLotText(usual, nameOf))}
      ${
        cleaning === null
          ? nothing
          : html`<p class="due">
              <strong>${cleaning.title}</strong> is still to be done: see to it first, for with a batch in it
              it cannot be done.
            </p>`
      }
      ${problem(this.#sending)}
      <button class="go" ?disabled=${this.#sending.busy} @click=${this.#start}>Start it now</button>
      <div class="other">
        <a href=${setUpPath(vessel.id)}>Set it up step by step</a>
        ${this.alone ? nothing : html`<a href=${vesselPath(vessel.id)}>Other amounts</a>`}
      </div>
    </div>`
  }

  /** Another lot is one tap away: what is written down is what was taken. */
  #lots(usual: Usual, why: string) {
    if (usual.lots.length === 0) return nothing
    const named = this.#lotOf(usual)
    return html`<label class="lot">
      <span>Lot of cysts <span class="soft">${why}</span></span>
      <select @change=${this.#choose}>
        <option value="" ?selected=${named === null}>none named</option>
        ${usual.lots.map(name => html`<option value=${name} ?selected=${name === named}>${name}</option>`)}
      </select>
    </label>`
  }

  #lotOf({ lot }: Usual): string | null {
    return this.chosen === null ? (lot?.name ?? null) : this.chosen === '' ? null : this.chosen
  }

  readonly #choose = (event: Event): void => {
    this.chosen = (event.currentTarget as HTMLSelectElement).value
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
    const { vesselId, litres, cystsG, salinityGpl, goal } = usual
    const lot = this.#lotOf(usual)
    const body = { vesselId, litres, cystsG, salinityGpl, goal, ...(lot === null ? {} : { lot }) }
    const uncleaned = cleaningDueOf(this.#reminders.value, vesselId) !== null
    const done = await this.#sending.send(async () =>
      noteStarted((await request<Batch>('POST', '/batches', body)).id, Date.now(), uncleaned),
    )
    if (done) this.chosen = null
  }
}
defineFor('helper', 'bw-usual', UsualBatch)
