import { html, LitElement, nothing } from 'lit'
import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import type { Replay } from '../../broker/web/api/replay.ts'
import { harvestCounts, harvestEstimate, type HarvestEstimate } from '../batch/harvest-estimate.ts'
import { Fetched } from '../book/fetched.ts'
import { shadesOf } from '../replay/diagnosed.ts'
import { happeningsOf } from '../replay/happenings.ts'
import { asItWas } from '../replay/killed.ts'
import { changeText } from '../replay/in-vain.ts'
import { type Recording, recordingOf } from '../replay/recording.ts'
import {
  bothUnits,
  causeTitle,
  costText,
  hatchOf,
  remainderText,
  sinceStart,
  sureText,
} from '../replay/words.ts'
import { batchPath } from '../state/route.ts'
import { store } from '../state/store.ts'
import { Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { pageMargin, paper } from '../style/paper.ts'
import { shared } from '../style/shared.ts'
import { clockListed, clockTime, dayName } from '../words/time.ts'
import { reportCurves } from './curves.ts'
import { figuresOf } from './figures.ts'
import { foldedCalls } from './folded-calls.ts'
import { notedOf, roomForNoted } from './noted.ts'
import { reportStyle } from './style.ts'

/** One page has room for so many causes; the others are named in a line. */
const MOST_CAUSES = 3

/** A batch on one page, to be printed or sent: what went wrong, what it cost, the curves, and what was done. */
export class Report extends LitElement {
  static override properties = { batchId: { attribute: false }, result: { state: true } }
  declare batchId: string
  declare result: HarvestEstimate | null
  readonly #path = (rest: string) =>
    this.batchId === '' ? null : `/batches/${encodeURIComponent(this.batchId)}${rest}`
  readonly #replay = new Fetched<Replay>(this, () => this.#path('/replay?points=700'))
  readonly #diagnosis = new Fetched<Diagnosis>(this, () => this.#path('/diagnosis'))
  readonly #settings = new Watch(this, from => from.state.settings)
  #recording: Recording | null = null
  #readFrom: Replay | null = null
  #judgedBy: Diagnosis | null = null
  #resultOf = ''
  #offMargin = (): void => undefined

  constructor() {
    super()
    this.batchId = ''
    this.result = null
  }

  static override styles = [shared, paper, reportStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    this.#offMargin = pageMargin('10mm')
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#offMargin()
  }

  override willUpdate(): void {
    const replay = this.#replay.value
    const diagnosis = this.#diagnosis.value
    if (replay && (this.#readFrom !== replay || this.#judgedBy !== diagnosis)) {
      this.#recording = recordingOf(asItWas(replay, diagnosis))
      this.#readFrom = replay
      this.#judgedBy = diagnosis
    }
    const counts = harvestCounts(replay?.events ?? [])
    if (replay && counts && counts.key !== this.#resultOf) void this.#estimate(counts, replay)
  }

  override render() {
    const settings = this.#settings.value
    const recording = this.#recording
    if (this.#replay.problem !== '')
      return html`<p class="page failed" role="status">${this.#replay.problem}</p>`
    if (!recording || !settings) return html`<p class="page soft">Writing the report…</p>`
    const unit = settings.temperatureUnit
    const diagnosis = this.#diagnosis.value
    const { batch, vessel, broughtIn } = recording.replay
    const { noted, left } = notedOf(
      happeningsOf(recording, diagnosis, unit),
      roomForNoted(diagnosis?.causes.length ?? 0),
      foldedCalls(recording.replay.alarms, atMs => clockTime(atMs, zone)),
    )
    const said = (words: string) => bothUnits(words, unit)
    const times = noted.map(({ atMs }) => atMs)
    return html`<div class="page sheet">
      <div class="row screen">
        <button @click=${() => print()}>Print, or save as PDF</button>
        <a class="button quiet" href=${batchPath(batch.id)}>Replay</a>
      </div>
      <header>
        <h1>${vessel?.name ?? 'A vessel that is gone'}, batch of ${whenText(recording.fromMs)}</h1>
        ${batch.note || broughtIn ? html`<p class="soft">${broughtIn ? 'From elsewhere. ' : ''}${batch.note ?? ''}</p>` : nothing}
      </header>
      ${this.#judged(said)}
      ${[false, true].map(narrow =>
        reportCurves(recording, { noted, shades: shadesOf(diagnosis), settings, zone }, narrow),
      )}
      <p class="key">
        Shaded grey with a broken edge: expected (water: half an hour before). Drawn lines: speaks for a
        cause. Long dashes: the alarm limit. A line that breaks off: no readings.
      </p>
      ${
        noted.length === 0
          ? nothing
          : html`<section>
              <h2>What happened</h2>
              <ol class="noted">
                ${noted.map(
                  ({ number, atMs, words, by }) =>
                    html`<li>
                      <b>${number}</b><time>${clockListed(atMs, times, zone)}</time
                      ><span
                        >${said(words).replace(/\.$/, '')}${by ? `, ${by}` : ''}
                        (${sinceStart(atMs - recording.fromMs)})</span
                      >
                    </li>`,
                )}
              </ol>
              ${left > 0 ? html`<p class="key">${left} more in the replay.</p>` : nothing}
            </section>`
      }
      <dl class="figures">
        ${figuresOf(recording, this.result, unit, diagnosis).map(
          ([what, value]) =>
            html`<div>
              <dt>${what}</dt>
              <dd>${value}</dd>
            </div>`,
        )}
      </dl>
      <p class="key foot">brinewatch; written ${whenText(store.clock.nowMs())}. Batch ${batch.id}.</p>
    </div>`
  }

  #judged(said: (words: string) => string) {
    if (this.#diagnosis.problem !== '') return html`<p role="status">${this.#diagnosis.problem}</p>`
    const diagnosis = this.#diagnosis.value
    if (!diagnosis) return html`<p class="soft" role="status">Finding out what went wrong…</p>`
    const { words, causes, risky, balance } = diagnosis
    const replay = this.#recording?.replay ?? null
    const remainder = causes.length > 0 ? remainderText(balance) : ''
    const others = causes.slice(MOST_CAUSES)
    return html`<p class="verdict">${said(words)}</p>
      ${
        causes.length === 0
          ? nothing
          : html`<ol class="causes">
              ${causes.slice(0, MOST_CAUSES).map((cause, at) => {
                const cost = costText(cause, hatchOf(balance, replay?.forecast))
                // The verdict has said it already.
                const isSaid = at === 0 && words.startsWith(cause.words)
                return html`<li>
                  <span class="rank">${at + 1}</span>
                  <p>
                    <strong>${isSaid ? `${upper(causeTitle(cause.kind))}:` : said(cause.words)}</strong>
                    ${sureText(cause)}${cost === '' ? '' : `; cost ${cost}`}.
                  </p>
                  <p>Next time: ${said(changeText(cause, replay))}</p>
                </li>`
              })}
            </ol>`
      }
      ${
        risky.length > 0
          ? html`<p>
              Risky, without a loss by it that the count shows:
              ${risky.map(cause => `${said(cause.words)} Next time: ${said(changeText(cause, replay))}`).join(' ')}
            </p>`
          : nothing
      }
      ${others.length > 0 ? html`<p>Also: ${others.map(({ words }) => said(words)).join(' ')}</p>` : nothing}
      ${remainder === '' ? nothing : html`<p>${remainder}</p>`}`
  }

  async #estimate(counts: NonNullable<ReturnType<typeof harvestCounts>>, { batch }: Replay): Promise<void> {
    this.#resultOf = counts.key
    try {
      this.result = await harvestEstimate(counts, batch)
    } catch {
      // The count stands among what happened without it.
      this.result = null
    }
  }
}
customElements.define('bw-report', Report)

const upper = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)
const whenText = (atMs: number): string => `${dayName(atMs, zone, true)} ${clockTime(atMs, zone)}`
