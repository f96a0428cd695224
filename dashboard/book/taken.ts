import { css, html, LitElement, nothing } from 'lit'
import { SHARE_SLACK } from '../../broker/hatch/counts/harvest-left.ts'
import { holdHours } from '../../broker/hatch/holding/holding.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
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
    left: { attribute: false },
    for: { state: true },
    percent: { state: true },
  }
  declare batch: Batch | null
  declare counted: number | null
  /** Which share of the harvest is not written down yet, 0 to 1. */
  declare left: number
  declare for: For
  /** The share as it is typed; `null` while it stands as offered. */
  declare percent: string | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.batch ? `taken.${this.batch.id}` : null))
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')

  constructor() {
    super()
    this.batch = null
    this.counted = null
    this.left = 1
    this.for = 'fed'
    this.percent = null
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
    const rest = restPercent(this.left)
    if (rest === 0)
      return html`<p class="soft">
        All of the harvest is written down. To change it, take an entry back on the page of the vessel.
      </p>`
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
          value: String(rest),
          numeric: true,
          hint: this.#hint(rest),
          onInput: percent => {
            this.percent = percent
          },
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
      <button ?disabled=${this.#sending.busy}>
        ${writesText(this.for, readNumber(this.percent ?? String(rest)), this.counted)}
      </button>
    </form>`
  }

  #hint(rest: number): string {
    const left = rest < 100 ? `${rest} % are left` : ''
    if (this.counted === null) return left === '' ? 'Nobody counted it' : `${left}; nobody counted it`
    return left === '' ? `Of ${rounded(this.counted)} nauplii` : `${left} of ${rounded(this.counted)} nauplii`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const wrong = new Map<string, string>()
    const percent = readNumber(fieldText(form, 'share'))
    if (percent === null || percent <= 0 || percent > 100)
      wrong.set('share', 'Write a share above 0, up to 100.')
    else if (percent > restPercent(this.left) + 100 * SHARE_SLACK)
      wrong.set('share', `Only ${restPercent(this.left)} % of the harvest are left to write down.`)
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
      this.percent = null
      this.dispatchEvent(seenEvent(kept satisfies BatchEvent))
    })
  }
}
customElements.define('bw-taken', TakenForm)

/** The button says what it writes, so that no share that was only offered is written by one careless tap. */
function writesText(what: For, percent: number | null, counted: number | null): string {
  if (percent === null || percent <= 0 || percent > 100) return 'Write it down'
  const share = percent === 100 ? 'all' : `${percent}\u00a0%`
  const many = counted === null ? 'not counted' : `${rounded((counted * percent) / 100)} nauplii`
  return `Write down: ${TAKEN_FOR[what].toLowerCase()} ${share}, ${many}`
}

/** Whole per cent, so that what three thirds leave is nothing. */
const restPercent = (left: number): number => {
  const percent = Math.round(100 * left)
  return percent <= 100 * SHARE_SLACK ? 0 : percent
}

const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')
