import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { createRef, ref } from 'lit/directives/ref.js'
import type { NewBatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { dropDraft, keepDraft, readDraft } from '../state/draft.ts'
import { keepTyped, lastTyped } from '../state/preferences.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { countedText, tooManyText } from '../words/seen.ts'
import { localInput } from '../words/time.ts'
import { fieldText, line, problem, readNumber, Sending } from './form.ts'
import { closeEvent, seenEvent, writeDown } from './seen-event.ts'
import { type Counted, countedToo, readCount, tally, tallyStyle } from './tally.ts'

type Sample = Extract<NewBatchEvent, { kind: 'count' }>['samples'][number]

interface CountDraft {
  readonly samples: readonly Sample[]
  readonly counts: Readonly<Record<Counted, string>>
  readonly more: boolean
}
const draftKey = ({ id }: Batch): string => `count.${id}`

const NONE: Readonly<Record<Counted, string>> = { nauplii: '', umbrella: '', embryos: '' }
/** The trade's pipette, mL; common practice, no source. */
const SAMPLE_ML = '1'
/** A finger that still taps asks for nothing; so long after the last tap the words follow, ms. */
const SETTLE_MS = 350

/** Counts samples under the lens, tells after each what they say of the vessel, and writes the whole down. */
export class CountForm extends LitElement {
  static override properties = {
    batch: { attribute: false },
    atHarvest: { type: Boolean, attribute: 'at-harvest' },
    samples: { state: true },
    counts: { state: true },
    more: { state: true },
    earlier: { state: true },
    words: { state: true },
    doubt: { state: true },
  }
  declare batch: Batch | null
  /** It is counted at the harvest unless the person says otherwise. */
  declare atHarvest: boolean
  declare samples: readonly Sample[]
  /** What stands in the counters of the sample under the lens. */
  declare counts: Readonly<Record<Counted, string>>
  /** Whether umbrellas and unhatched cysts are counted too. */
  declare more: boolean
  declare earlier: boolean
  /** What the samples say, in the broker's words. */
  declare words: string
  /** Why the count can hardly be so; empty when it can. */
  declare doubt: string
  readonly #sending = new Sending(this)
  readonly #form = createRef<HTMLFormElement>()
  #suggested = ''
  #isKept = false
  #timer: ReturnType<typeof setTimeout> | undefined
  #abort: AbortController | undefined

  constructor() {
    super()
    this.batch = null
    this.atHarvest = false
    this.samples = []
    this.counts = NONE
    this.more = false
    this.earlier = false
    this.words = ''
    this.doubt = ''
  }

  static override styles = [
    shared,
    tallyStyle,
    css`
      .also {
        display: grid;
        grid-template-columns: 1fr 1fr;
        gap: 16px;
      }
      ol {
        margin: 0;
        padding: 0;
        list-style: none;
      }
      li {
        display: grid;
        grid-template-columns: 1fr auto;
        gap: 12px;
        align-items: center;
        padding: 6px 0;
        border-top: 1px solid var(--line);
      }
      li button {
        min-height: 48px;
        padding: 6px 14px;
        font-size: 1rem;
      }
      .words {
        min-height: 3.6em;
        padding: 12px 16px;
        background: var(--raised);
        border-left: 4px solid var(--nauplii);
        border-radius: 4px;
      }
      .doubt {
        padding: 12px 16px;
        border-left: 4px solid var(--hot);
        background: var(--raised);
        border-radius: 4px;
      }
      .row .choice {
        margin-right: 20px;
      }
      .add {
        width: 100%;
      }
    `,
  ]

  override willUpdate(changed: PropertyValues<this>): void {
    const { batch, samples, counts, more } = this
    if (!batch) return
    if (changed.has('batch') && changed.get('batch')?.id !== batch.id) {
      // What was counted before the browser was closed is still counted.
      const draft = readDraft<CountDraft>(draftKey(batch), Date.now())
      if (draft) Object.assign(this, draft)
    } else if (!this.#isKept && (changed.has('samples') || changed.has('counts') || changed.has('more')))
      keepDraft(draftKey(batch), { samples, counts, more } satisfies CountDraft, Date.now())
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearTimeout(this.#timer)
    this.#abort?.abort()
  }

  override render() {
    if (!this.batch) return nothing
    const number = this.samples.length + 1
    const counter = (what: Counted) =>
      tally(what, this.counts[what], this.#sending.fields.get(what), text => {
        this.#sending.corrected(what)
        this.counts = { ...this.counts, [what]: text }
        this.#ask()
      })
    return html`<form novalidate ${ref(this.#form)} @submit=${this.#submit}>
      <h3>Sample ${number}</h3>
      <div class="pair">
        ${line('sampleMl', 'Counted, mL', this.#sending, {
          value: lastTyped('sampleMl') ?? SAMPLE_ML,
          numeric: true,
          onInput: () => this.#ask(),
        })}
        ${line('dilution', 'Diluted, times', this.#sending, {
          value: lastTyped('dilution') ?? '1',
          numeric: true,
          hint: '1: as it is in the vessel',
          onInput: () => this.#ask(),
        })}
      </div>
      ${counter('nauplii')}
      ${
        this.more
          ? html`<div class="also">${counter('umbrella')}${counter('embryos')}</div>
              <button type="button" class="quiet" @click=${this.#fewer}>Nauplii only</button>`
          : html`<button
              type="button"
              class="quiet"
              @click=${() => {
                this.more = true
              }}
            >
              Count umbrellas and unhatched too
            </button>`
      }
      ${
        this.samples.length > 0
          ? html`<ol aria-label="Samples counted">
              ${this.samples.map(
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
        ><input type="checkbox" name="harvest" ?checked=${this.atHarvest} /> Counted at the harvest</label
      >
      <fieldset>
        <legend>When was it taken?</legend>
        <div class="row">${this.#choice('Just now', false)} ${this.#choice('Earlier', true)}</div>
        ${
          this.earlier
            ? line('at', 'Date and time', this.#sending, {
                type: 'datetime-local',
                value: this.#suggested,
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
    this.renderRoot.querySelector<HTMLElement>('.nauplii .pad')?.focus({ preventScroll: true })
    this.#ask()
  }

  #choice(name: string, earlier: boolean) {
    return html`<label class="choice"
      ><input
        type="radio"
        name="when"
        .checked=${this.earlier === earlier}
        @change=${() => {
          this.#suggested = localInput(store.clock.nowMs(), zone)
          this.earlier = earlier
        }}
      />
      ${name}</label
    >`
  }

  /** The sample under the lens; `null` after filling `wrong` with what is wrong with it. */
  #current(wrong: Map<string, string>): Sample | null {
    const form = this.#form.value
    const sampleMl = form ? readNumber(fieldText(form, 'sampleMl')) : null
    const dilution = form ? readNumber(fieldText(form, 'dilution')) : null
    if (sampleMl === null || sampleMl <= 0 || sampleMl > 1000)
      wrong.set('sampleMl', 'Write the millilitres that were counted, above 0.')
    if (dilution === null || dilution < 1 || dilution > 10_000)
      wrong.set('dilution', 'Write 1 for no dilution, or how many times.')
    const count = (what: Counted): number => {
      const read = readCount(this.counts[what])
      if (read === null) wrong.set(what, 'Write a whole number.')
      return read ?? 0
    }
    const nauplii = count('nauplii')
    const also = this.more ? countedToo(this.counts, count) : {}
    if (wrong.size > 0 || sampleMl === null || dilution === null) return null
    return { sampleMl, ...(dilution === 1 ? {} : { dilution }), nauplii, ...also }
  }

  /** Whether anything was counted in the sample under the lens: a zero that was typed is a count, too. */
  #counting(): boolean {
    return Object.values(this.counts).some(text => text.trim() !== '')
  }

  readonly #next = async (): Promise<void> => {
    const wrong = new Map<string, string>()
    const sample = this.#current(wrong)
    if (!this.#counting()) wrong.set('nauplii', 'Count this one first; write 0 if there are none.')
    this.#sending.refuse(wrong)
    if (wrong.size > 0 || !sample) return
    keepTyped('sampleMl', String(sample.sampleMl))
    keepTyped('dilution', String(sample.dilution ?? 1))
    this.samples = [...this.samples, sample]
    this.counts = NONE
    this.#ask()
    await this.updateComplete
    const pad = this.renderRoot.querySelector<HTMLElement>('.nauplii .pad')
    pad?.focus({ preventScroll: true })
    pad?.scrollIntoView({ block: 'center' })
  }

  /** What was not asked for is not counted either. */
  readonly #fewer = (): void => {
    this.more = false
    this.counts = { ...this.counts, umbrella: '', embryos: '' }
    this.#ask()
  }

  #drop(index: number): void {
    this.samples = this.samples.filter((_, at) => at !== index)
    this.#ask()
  }

  #ask(): void {
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => void this.#estimate(), SETTLE_MS)
  }

  async #estimate(): Promise<void> {
    const { batch } = this
    const current = this.#counting() ? this.#current(new Map()) : null
    const samples = current ? [...this.samples, current] : this.samples
    this.doubt = batch ? tooManyText(samples, batch.litres, batch.cystsG) : ''
    this.#abort?.abort()
    if (!batch || samples.length === 0) {
      this.words = 'Three or more samples, well mixed, tell the most.'
      return
    }
    const abort = new AbortController()
    this.#abort = abort
    const body = { litres: batch.litres, cystsG: batch.cystsG, samples }
    try {
      const answer = await request<{ words: string }>('POST', '/counts/estimate', body, abort.signal)
      this.words = answer.words
    } catch {
      // The count itself can be saved all the same.
      if (!abort.signal.aborted) this.words = 'What it says of the vessel cannot be reckoned just now.'
    }
  }

  readonly #noCount = (): void => {
    if (this.batch) dropDraft(draftKey(this.batch))
    this.#isKept = true
    this.dispatchEvent(closeEvent())
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const wrong = new Map<string, string>()
    const current = this.#counting() || this.samples.length === 0 ? this.#current(wrong) : null
    if (!this.#counting() && this.samples.length === 0)
      wrong.set('nauplii', 'Count at least one sample; write 0 if there are none.')
    const atMs = this.earlier ? Date.parse(fieldText(form, 'at')) : null
    if (atMs !== null && Number.isNaN(atMs)) wrong.set('at', 'Choose a date and a time.')
    if (wrong.size > 0) return this.#sending.refuse(wrong)
    const { batch } = this
    if (!batch) return
    const harvest = new FormData(form).has('harvest')
    const samples = current ? [...this.samples, current] : [...this.samples]
    if (current) {
      keepTyped('sampleMl', String(current.sampleMl))
      keepTyped('dilution', String(current.dilution ?? 1))
    }
    const doubt = tooManyText(samples, batch.litres, batch.cystsG)
    if (doubt !== this.doubt) {
      // Whoever is quicker than the words reads them before it is kept.
      this.doubt = doubt
      if (doubt !== '') return
    }
    const at = atMs === null ? {} : { at: new Date(atMs).toISOString() }
    await this.#sending.send(async () => {
      const kept = await writeDown(batch.id, { kind: 'count', harvest, samples, ...at })
      dropDraft(draftKey(batch))
      this.#isKept = true
      this.dispatchEvent(seenEvent(kept))
    })
  }
}
customElements.define('bw-count-form', CountForm)
