import { html, LitElement, nothing, type PropertyValues } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { request } from '../state/api.ts'
import { dropDraft, keepDraft, readDraft } from '../state/draft.ts'
import { keepTyped } from '../state/preferences.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { countedText, tooManyText } from '../words/seen.ts'
import { localInput } from '../words/time.ts'
import { tooSoonCountText } from '../words/too-soon.ts'
import { countStyle } from './count-style.ts'
import { line, problem, Sending } from './form.ts'
import { countDraft, keptText } from './kept-count.ts'
import { closeEvent, seenEvent, writeDown } from './seen-event.ts'
import { type Counted, tally, tallyStyle } from './tally.ts'
import {
  type From,
  isCounting,
  newCount,
  NO_COUNTS,
  readDrawnOff,
  readSample,
  type Sample,
  samplesFor,
  type TypedCount,
} from './typed-count.ts'

/** A finger that still taps asks for nothing; so long after the last tap the words follow, ms. */
const SETTLE_MS = 350

/** Counts samples under the lens, tells after each what they say, and writes the whole down. */
export class CountForm extends LitElement {
  static override properties = {
    batch: { attribute: false },
    atHarvest: { type: Boolean, attribute: 'at-harvest' },
    stirred: { type: Boolean },
    typed: { state: true },
    words: { state: true },
    doubt: { state: true },
  }
  declare batch: Batch | null
  /** It is counted at the harvest, of what was drawn off, unless the person says otherwise. */
  declare atHarvest: boolean
  /** It is of the stirred vessel, before the air is off, with what did not hatch. */
  declare stirred: boolean
  declare typed: TypedCount
  /** What the samples say, in the broker's words. */
  declare words: string
  /** Why the count can hardly be so; empty when it can. */
  declare doubt: string
  readonly #sending = new Sending(this)
  /** What was counted before the page was closed; empty for a new count. */
  #kept = ''
  #timer: ReturnType<typeof setTimeout> | undefined
  #abort: AbortController | undefined

  constructor() {
    super()
    this.batch = null
    this.atHarvest = false
    this.stirred = false
    this.typed = newCount(false)
    this.words = ''
    this.doubt = ''
  }

  static override styles = [shared, tallyStyle, countStyle]

  override willUpdate(changed: PropertyValues<this>): void {
    const { batch } = this
    if (!batch || !changed.has('batch') || changed.get('batch')?.id === batch.id) return
    // What was counted before the browser was closed is still counted.
    const draft = readDraft<Partial<TypedCount>>(this.#draftKey(batch), Date.now())
    this.#kept = draft === null ? '' : keptText(draft)
    const begun = newCount(this.atHarvest)
    this.typed = { ...begun, ...(this.stirred ? { from: 'vessel', more: true } : {}), ...draft }
  }

  /** What is counted before the air is off is another count than that of what was drawn off. */
  #draftKey(batch: Batch): string {
    return countDraft(batch, this.stirred)
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearTimeout(this.#timer)
    this.#abort?.abort()
  }

  override render() {
    const { batch, typed } = this
    if (!batch) return nothing
    const { samples } = typed
    return html`<form novalidate @submit=${this.#submit}>
      ${this.#kept === '' ? nothing : html`<p role="status">Kept from before: ${this.#kept}. Go on counting.</p>`}
      ${this.#sampled()}
      ${
        // Within the steps of a harvest no heading stands between it and the page's own.
        this.atHarvest
          ? html`<h2 class="sample">Sample ${samples.length + 1}</h2>`
          : html`<h3>Sample ${samples.length + 1}</h3>`
      }
      <div class="pair">
        ${line('sampleMl', 'Counted, mL', this.#sending, {
          value: typed.sampleMl,
          numeric: true,
          onInput: sampleMl => this.#type({ sampleMl }),
        })}
        ${line('dilution', 'Diluted, times', this.#sending, {
          value: typed.dilution,
          numeric: true,
          hint: typed.from === 'vessel' ? '1: as it is in the vessel' : '1: as it was drawn off',
          onInput: dilution => this.#type({ dilution }),
        })}
      </div>
      ${this.#counter('nauplii')} ${this.#others()}
      ${
        samples.length > 0
          ? html`<ol aria-label="Samples counted">
              ${samples.map(
                (sample, index) =>
                  html`<li>
                    <span>${index + 1}: ${countedText([sample])}</span>
                    <button type="button" class="quiet" @click=${() => this.#drop(index)}>
                      Drop<span class="hidden"> sample ${index + 1}</span>
                    </button>
                  </li>`,
              )}
            </ol>`
          : nothing
      }
      <p class="words" role="status">${this.words}</p>
      <p class="doubt" role="status" ?hidden=${this.doubt === ''}>${this.doubt}</p>
      <button type="button" class="quiet add" @click=${this.#next}>Next sample</button>
      <label class="choice"
        ><input
          type="checkbox"
          name="harvest"
          .checked=${typed.harvest}
          @change=${(event: Event) => this.#type({ harvest: (event.target as HTMLInputElement).checked })}
        />
        Counted at the harvest</label
      >
      <fieldset>
        <legend>When was it taken?</legend>
        <div class="row">${this.#when('Just now', false)} ${this.#when('Earlier', true)}</div>
        ${
          typed.earlier
            ? line('at', 'Date and time', this.#sending, {
                type: 'datetime-local',
                value: typed.at,
                onInput: at => this.#type({ at }),
              })
            : nothing
        }
      </fieldset>
      ${problem(this.#sending)}
      <div class="row">
        <button ?disabled=${this.#sending.busy}>
          ${this.doubt === '' ? 'Save the count' : 'Save the count all the same'}
        </button>
        <button type="button" class="quiet" @click=${this.#noCount}>No count</button>
      </div>
    </form>`
  }

  override firstUpdated(): void {
    // What opens by itself does not take the keys: a space would count one more.
    if (this.#kept === '')
      this.renderRoot.querySelector<HTMLElement>('.nauplii .pad')?.focus({ preventScroll: true })
    this.#ask()
  }

  /** By how much water the samples are multiplied. */
  #sampled() {
    const { batch, typed } = this
    const choice = (from: From, words: string) =>
      html`<label class="choice"
        ><input
          type="radio"
          name="from"
          value=${from}
          .checked=${typed.from === from}
          @change=${() => this.#type({ from })}
        />
        ${words}</label
      >`
    return html`<fieldset>
        <legend>What is sampled?</legend>
        ${choice('vessel', `The whole vessel, stirred: ${batch?.litres ?? 0} L`)}
        ${choice('drawn-off', 'What was drawn off, stirred')}
      </fieldset>
      ${
        typed.from === 'drawn-off'
          ? line('drawnOffMl', 'Drawn off in all, mL', this.#sending, {
              value: typed.drawnOffMl,
              numeric: true,
              hint: 'Sieved or topped up: what it stands in now',
              onInput: drawnOffMl => this.#type({ drawnOffMl }),
            })
          : nothing
      }`
  }

  #counter(what: Counted) {
    const { counts } = this.typed
    return tally(what, counts[what], this.#sending.fields.get(what), text => {
      this.#sending.corrected(what)
      this.#type({ counts: { ...counts, [what]: text } })
    })
  }

  #others() {
    if (this.typed.from === 'drawn-off')
      return html`<p class="soft">
        The share that hatched is counted in the stirred vessel, before the air is off: what did not hatch is
        left behind when it is drawn off.
      </p>`
    const quiet = (words: string, on: () => void) =>
      html`<button type="button" class="quiet" @click=${on}>${words}</button>`
    if (!this.typed.more) return quiet('Count umbrellas and unhatched too', () => this.#type({ more: true }))
    return html`<div class="also">${this.#counter('umbrella')}${this.#counter('embryos')}</div>
      ${quiet('Nauplii only', () => {
        // What was not asked for is not counted either.
        this.#type({ more: false, counts: { ...this.typed.counts, umbrella: '', embryos: '' } })
      })}`
  }

  #when(name: string, earlier: boolean) {
    return html`<label class="choice"
      ><input
        type="radio"
        name="when"
        .checked=${this.typed.earlier === earlier}
        @change=${() => this.#type({ earlier, at: localInput(store.clock.nowMs(), zone) })}
      />
      ${name}</label
    >`
  }

  #type(part: Partial<TypedCount>): void {
    this.typed = { ...this.typed, ...part }
    if (this.batch) keepDraft(this.#draftKey(this.batch), this.typed, Date.now())
    this.#ask()
  }

  readonly #next = async (): Promise<void> => {
    const wrong = new Map<string, string>()
    const sample = readSample(this.typed, wrong)
    if (!isCounting(this.typed)) wrong.set('nauplii', 'Count this one first; write 0 if there are none.')
    this.#sending.refuse(wrong)
    if (wrong.size > 0 || !sample) return
    this.#keepUsual()
    this.#type({ samples: [...this.typed.samples, sample], counts: NO_COUNTS })
    await this.updateComplete
    const pad = this.renderRoot.querySelector<HTMLElement>('.nauplii .pad')
    pad?.focus({ preventScroll: true })
    pad?.scrollIntoView({ block: 'center' })
  }

  /** The pipette and the thinning are mostly as last time. */
  #keepUsual(): void {
    keepTyped('sampleMl', this.typed.sampleMl)
    keepTyped('dilution', this.typed.dilution)
  }

  #drop(index: number): void {
    this.#type({ samples: this.typed.samples.filter((_, at) => at !== index) })
  }

  /** All samples as they stand, and the water that they are multiplied by. */
  #standing(wrong: Map<string, string>): { samples: Sample[]; drawnOffMl?: number } {
    const { typed } = this
    const drawnOffMl = readDrawnOff(typed, wrong)
    const current = isCounting(typed) || typed.samples.length === 0 ? readSample(typed, wrong) : null
    return {
      samples: [...samplesFor(typed.from, current ? [...typed.samples, current] : typed.samples)],
      ...(drawnOffMl === undefined ? {} : { drawnOffMl }),
    }
  }

  /** Why it can hardly be so: nothing can have hatched yet, or there are more than the cysts give. */
  #doubtOf(batch: Batch, standing: { samples: Sample[]; drawnOffMl?: number }): string {
    const { earlier, at } = this.typed
    const saidMs = earlier ? Date.parse(at) : NaN
    const atMs = Number.isNaN(saidMs) ? store.clock.nowMs() : saidMs
    const seen = standing.samples.reduce((sum, { nauplii, umbrella = 0 }) => sum + nauplii + umbrella, 0)
    const many = tooManyText(standing.samples, { ...batch, ...standing }, batch.cystsG)
    return [tooSoonCountText(batch, seen, atMs), many].filter(each => each !== '').join(' ')
  }

  #ask(): void {
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => void this.#estimate(), SETTLE_MS)
  }

  async #estimate(): Promise<void> {
    const { batch, typed } = this
    this.#abort?.abort()
    this.doubt = ''
    if (!batch || (typed.samples.length === 0 && !isCounting(typed))) {
      this.words = 'Three or more samples, well mixed, tell the most.'
      return
    }
    const wrong = new Map<string, string>()
    const standing = this.#standing(wrong)
    if (wrong.has('drawnOffMl')) {
      this.words = 'Write how much was drawn off, and what it says follows.'
      return
    }
    this.doubt = this.#doubtOf(batch, standing)
    if (standing.samples.length === 0) return
    const abort = new AbortController()
    this.#abort = abort
    const body = { litres: batch.litres, cystsG: batch.cystsG, ...standing }
    try {
      const answer = await request<{ words: string }>('POST', '/counts/estimate', body, abort.signal)
      this.words = answer.words
    } catch {
      // The count itself can be saved all the same.
      if (!abort.signal.aborted) this.words = 'What it says of the vessel cannot be reckoned just now.'
    }
  }

  readonly #noCount = (): void => {
    if (this.batch) dropDraft(this.#draftKey(this.batch))
    this.dispatchEvent(closeEvent())
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { batch, typed } = this
    const wrong = new Map<string, string>()
    const standing = this.#standing(wrong)
    if (!isCounting(typed) && typed.samples.length === 0)
      wrong.set('nauplii', 'Count at least one sample; write 0 if there are none.')
    const atMs = typed.earlier ? Date.parse(typed.at) : null
    if (atMs !== null && Number.isNaN(atMs)) wrong.set('at', 'Choose a date and a time.')
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    if (!batch) return
    if (isCounting(typed)) this.#keepUsual()
    const doubt = this.#doubtOf(batch, standing)
    if (doubt !== this.doubt) {
      // Whoever is quicker than the words reads them before it is kept.
      this.doubt = doubt
      if (doubt !== '') return
    }
    const at = atMs === null ? {} : { at: new Date(atMs).toISOString() }
    await this.#sending.send(async () => {
      const kept = await writeDown(batch.id, { kind: 'count', harvest: typed.harvest, ...standing, ...at })
      dropDraft(this.#draftKey(batch))
      this.dispatchEvent(seenEvent(kept))
    })
  }
}
defineFor('helper', 'bw-count-form', CountForm)
