import { css, html, LitElement, nothing } from 'lit'
import { holdHours } from '../../broker/hatch/holding/holding.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/schemas.ts'
import { fieldText, line, problem, readNumber, Sending } from '../forms/form.ts'
import { seenEvent, writeDown } from '../forms/seen-event.ts'
import { FormDraft } from '../state/draft.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { TAKEN_FOR } from '../words/observed.ts'
import { toC, toF } from '../words/temperature.ts'

type For = keyof typeof TAKEN_FOR
const FORS = Object.keys(TAKEN_FOR) as For[]
/** A household refrigerator, °C. */
const COLD_C = 4

/** What became of the nauplii: fed now, put in the cold, thrown away; a number or a share of the harvest. */
export class TakenForm extends LitElement {
  static override properties = {
    batch: { attribute: false },
    /** What the harvest was counted at; `null` where it was not. */
    counted: { attribute: false },
    for: { state: true },
  }
  declare batch: Batch | null
  declare counted: number | null
  declare for: For
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.batch ? `taken.${this.batch.id}` : null))
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')

  constructor() {
    super()
    this.batch = null
    this.counted = null
    this.for = 'fed'
  }

  static override styles = [
    shared,
    css`
      .fors {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 24px;
      }
    `,
  ]

  override render() {
    if (!this.batch) return nothing
    const unit = this.#unit.value
    const coldest = unit === 'F' ? toF(COLD_C).toFixed(0) : String(COLD_C)
    return html`<form novalidate @submit=${this.#submit}>
      <fieldset>
        <legend>What becomes of them?</legend>
        <div class="fors">
          ${FORS.map(
            each =>
              html`<label class="choice"
                ><input
                  type="radio"
                  name="for"
                  value=${each}
                  .checked=${this.for === each}
                  @change=${() => {
                    this.for = each
                  }}
                />
                ${TAKEN_FOR[each]}</label
              >`,
          )}
        </div>
      </fieldset>
      <div class="pair">
        ${line('share', 'Share of the harvest, %', this.#sending, {
          value: '100',
          numeric: true,
          hint: this.counted === null ? 'Nobody counted it' : `Of ${rounded(this.counted)} nauplii`,
        })}
        ${
          this.for === 'held'
            ? line('cold', `Refrigerator, °${unit}`, this.#sending, {
                value: coldest,
                numeric: true,
                hint: `Known to keep ${holdHours(COLD_C)} h up to ${coldest} °${unit}, gently aerated`,
              })
            : nothing
        }
      </div>
      ${problem(this.#sending)}
      <button ?disabled=${this.#sending.busy}>Write it down</button>
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const wrong = new Map<string, string>()
    const percent = readNumber(fieldText(form, 'share'))
    if (percent === null || percent <= 0 || percent > 100)
      wrong.set('share', 'Write a share above 0, up to 100.')
    const cold = this.for === 'held' ? readNumber(fieldText(form, 'cold')) : null
    const coldC = cold !== null && this.#unit.value === 'F' ? toC(cold) : cold
    if (this.for === 'held' && (coldC === null || coldC < 0 || coldC > 10))
      wrong.set('cold', 'Nauplii are held between freezing and 10 °C (50 °F).')
    const { batch } = this
    if (wrong.size > 0 || percent === null || !batch) return this.#sending.refuse(wrong)
    const share = percent / 100
    const nauplii = this.counted === null ? null : Math.round(this.counted * share)
    await this.#sending.send(async () => {
      const kept = await writeDown(batch.id, { kind: 'taken', for: this.for, share, nauplii, coldC })
      this.#draft.drop()
      this.dispatchEvent(seenEvent(kept satisfies BatchEvent))
    })
  }
}
customElements.define('bw-taken', TakenForm)

const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')
