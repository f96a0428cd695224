import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { type Goal, GOAL_WORDS, GOALS, windowMoved } from '../words/goal.ts'

/** Which food is wanted of a batch: three ways, each with its own harvest window. */
export class GoalChoice extends LitElement {
  static override properties = {
    batch: { attribute: false },
    forecast: { attribute: false },
    moved: { state: true },
  }
  declare batch: Batch | null
  declare forecast: Forecast | null
  /** The windows before the choice and with it, while that is told. */
  declare moved: { readonly before: Forecast; readonly after: Forecast } | null
  readonly #sending = new Sending(this)
  /** The forecast from before the choice, until the one for it is here. */
  #before: Forecast | null = null

  constructor() {
    super()
    this.batch = null
    this.forecast = null
    this.moved = null
  }

  static override styles = [
    shared,
    css`
      .ways {
        display: grid;
        grid-template-columns: repeat(3, 1fr);
        border: 2px solid var(--line-strong);
        border-radius: 16px;
        overflow: hidden;
      }
      label {
        display: grid;
        justify-items: center;
        align-content: center;
        gap: 4px;
        min-height: 84px;
        padding: 8px 4px;
        text-align: center;
        font-weight: 650;
        cursor: pointer;
        position: relative;
      }
      label + label {
        border-left: 2px solid var(--line-strong);
      }
      label:has(:checked) {
        background: var(--ink);
        color: var(--ground);
      }
      label:has(:focus-visible) {
        outline: 3px solid var(--ink);
        outline-offset: -7px;
        border-radius: 14px;
      }
      label:has(:checked:focus-visible) {
        outline-color: var(--ground);
      }
      input {
        position: absolute;
        inset: 0;
        width: 100%;
        height: 100%;
        min-height: 0;
        opacity: 0;
        cursor: pointer;
      }
      svg {
        height: 30px;
        width: 48px;
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('batch') && changed.get('batch')?.id !== this.batch?.id) this.moved = null
    // Chosen again on another screen: what was told here is of another choice.
    if (this.moved && this.forecast?.goal !== this.moved.after.goal) this.moved = null
    if (!this.#before || !this.forecast || this.forecast.goal === this.#before.goal) return
    this.moved = { before: this.#before, after: this.forecast }
    this.#before = null
  }

  override render() {
    const { batch } = this
    if (!batch) return nothing
    return html`<fieldset>
        <legend>Which food is wanted of it?</legend>
        <div class="ways">
          ${GOALS.map(
            goal =>
              html`<label
                ><input
                  type="radio"
                  name="goal"
                  value=${goal}
                  aria-describedby="means"
                  .checked=${batch.goal === goal}
                  ?disabled=${this.#sending.busy}
                  @change=${() => void this.#choose(goal)}
                />
                ${picture(goal)} ${GOAL_WORDS[goal].name}</label
              >`,
          )}
        </div>
      </fieldset>
      <p class="soft" id="means">${GOAL_WORDS[batch.goal].name}: ${GOAL_WORDS[batch.goal].means}.</p>
      <p role="status" class="said">${this.#told()}</p>
      ${problem(this.#sending)}`
  }

  #told(): string {
    const { moved, forecast } = this
    if (!moved || !forecast) return ''
    const { before, after } = moved
    return windowMoved(before.harvest, after.harvest, store.clock.nowMs(), zone, forecast.harvest)
  }

  async #choose(goal: Goal): Promise<void> {
    const { batch, forecast } = this
    if (!batch || batch.goal === goal) return
    this.#before = forecast
    this.moved = null
    const path = `/batches/${encodeURIComponent(batch.id)}`
    if (await this.#sending.send(() => request('PATCH', path, { goal }))) return
    this.#before = null
    // The mark goes back to what still holds.
    this.requestUpdate()
    await this.updateComplete
    for (const input of this.renderRoot.querySelectorAll('input')) input.checked = input.value === batch.goal
  }
}
defineFor('helper', 'bw-goal', GoalChoice)

/** How a nauplius looks when it is taken for this: the younger, the shorter. */
function picture(goal: Goal) {
  const long = { smallest: 7, balanced: 11, most: 15 }[goal]
  const wide = { smallest: 5, balanced: 5.5, most: 6.5 }[goal]
  return html`<svg viewBox="-24 -15 48 30" aria-hidden="true">
    <ellipse rx=${long} ry=${wide} fill="currentColor" />
    <path
      d="M${long - 4} ${wide - 2} q4 8 10 7 M${long - 4} ${2 - wide} q4 -8 10 -7"
      fill="none"
      stroke="currentColor"
      stroke-width="2.2"
      stroke-linecap="round"
    />
  </svg>`
}
