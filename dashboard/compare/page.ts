import { html, LitElement, nothing, type PropertyValues } from 'lit'
import type { ComparedBatch } from '../../broker/web/api/compare.ts'
import type { Lot } from '../../broker/web/api/events.ts'
import { ApiError, request } from '../state/api.ts'
import { batchPath, comparePath, type Route } from '../state/route.ts'
import { store } from '../state/store.ts'
import { Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { AlignBy, originS } from './align.ts'
import { asItWas } from './as-it-was.ts'
import { askGroup, askThese } from './ask.ts'
import { lineMark, MOST_DRAWN } from './marks.ts'
import './overlay.ts'
import { comparePageStyle } from './page-style.ts'
import './small.ts'
import { Verdicts } from './verdicts.ts'
import { batchName, lastedText, reachedText, verdictText, yieldText } from './words.ts'

/** So many are drawn over each other while nobody has picked any. */
const USUAL_DRAWN = 4
const BY_WORDS: Record<AlignBy, string> = {
  start: 'Start',
  soaked: 'Water taken up',
  t10: 'First tenth out',
}
type Group = Pick<Extract<Route, { view: 'compare' }>, 'lot' | 'vesselId'>

/** Several batches side by side: as small pictures, drawn over each other, and in figures. */
export class ComparePage extends LitElement {
  static override properties = {
    place: { attribute: false },
    batches: { state: true },
    picked: { state: true },
    by: { state: true },
    lots: { state: true },
    vessels: { state: true },
    problem: { state: true },
  }
  declare place: Extract<Route, { view: 'compare' }> | null
  /** Oldest first: a batch's number is its place, from 1. `null` while they are fetched. */
  declare batches: readonly ComparedBatch[] | null
  /** Ids of those that are drawn over each other. */
  declare picked: readonly string[]
  declare by: AlignBy
  declare lots: readonly string[]
  /** All that a batch was in, those taken out of the room too. */
  declare vessels: readonly { readonly id: string; readonly name: string; readonly gone: boolean }[]
  declare problem: string
  readonly #settings = new Watch(this, from => from.state.settings)
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #verdicts = new Verdicts(this)
  #group: Group = { lot: '', vesselId: '' }
  #asked = 0

  constructor() {
    super()
    this.place = null
    this.batches = null
    this.picked = []
    this.by = AlignBy.start
    this.lots = []
    this.vessels = []
    this.problem = ''
  }

  static override styles = [shared, comparePageStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    void request<{ lots: Lot[] }>('GET', '/lots')
      .then(({ lots }) => (this.lots = lots.map(({ name }) => name)))
      .catch(() => undefined)
    void request<{ vesselNames?: Record<string, string> }>('GET', '/batches?limit=1000')
      .then(({ vesselNames = {} }) => (this.vessels = named(vesselNames, this.#vessels.value)))
      .catch(() => undefined)
  }

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('place') || !this.place) return
    const { lot, vesselId, by, batchIds } = this.place
    this.#group = { lot, vesselId }
    this.by = by
    this.picked = batchIds.slice(0, MOST_DRAWN)
    void this.#fetch(batchIds)
  }

  override render() {
    const settings = this.#settings.value
    if (this.problem !== '') return html`<p class="page failed" role="status">${this.problem}</p>`
    const batches = this.batches?.map(one => asItWas(one, this.#verdicts.of(one.batch.id))) ?? null
    return html`<div class="page compare">
      <h1>Batches side by side</h1>
      ${this.#choose()}
      ${
        !batches || !settings
          ? html`<p class="soft" role="status">Fetching the batches…</p>`
          : batches.length === 0
            ? html`<p>There is no such batch yet.</p>`
            : html`<section aria-label="Drawn over each other" class="over">
                  ${this.#alignment(batches)}
                  <bw-overlay
                    .drawn=${this.#drawn(batches)}
                    .by=${this.by}
                    .settings=${settings}
                  ></bw-overlay>
                </section>
                <section class="pictures">
                  <h2>${this.#groupTitle(batches.length)}</h2>
                  <p class="soft">
                    Filled: what was out of all nauplii that will come, by the model. Line: the water,
                    ${settings.temperatureUnit === 'C' ? '18 to 34 °C' : '64 to 93 °F'}; dashed: its heat
                    limit. Tick up to ${MOST_DRAWN} to draw them over each other.
                  </p>
                  <ul>
                    ${batches.map((batch, at) => this.#picture(batch, at + 1, batches, settings.rules['water-too-hot'].limit))}
                  </ul>
                </section>
                ${this.#table(batches)}`
      }
    </div>`
  }

  #choose() {
    const { lot, vesselId } = this.#group
    const value = lot !== '' ? `lot ${lot}` : vesselId !== '' ? `vessel ${vesselId}` : ''
    return html`<div class="field which">
      <label for="which">Which batches</label>
      <select id="which" @change=${this.#regroup}>
        <option value="" ?selected=${value === ''}>The newest, of all vessels</option>
        <optgroup label="Of one lot">
          ${this.lots.map(name => html`<option value="lot ${name}" ?selected=${value === `lot ${name}`}>${name}</option>`)}
        </optgroup>
        <optgroup label="Of one vessel">
          ${this.vessels.map(
            ({ id, name, gone }) =>
              html`<option value="vessel ${id}" ?selected=${value === `vessel ${id}`}>
                ${name}${gone ? ', put away' : ''}
              </option>`,
          )}
        </optgroup>
      </select>
    </div>`
  }

  #alignment(batches: readonly ComparedBatch[]) {
    const without = this.#drawn(batches).filter(({ batch }) => originS(batch, this.by) === null)
    const numbers = without.map(({ number }) => number).join(', ')
    return html`<div class="by" role="group" aria-labelledby="by">
        <span id="by">Lined up at</span>
        ${Object.values(AlignBy).map(
          by =>
            html`<button class="quiet" aria-pressed=${this.by === by} @click=${() => this.#align(by)}>
              ${BY_WORDS[by]}
            </button>`,
        )}
      </div>
      ${without.length > 0 ? html`<p class="soft">No tenth was out in ${numbers}: not drawn from there.</p>` : nothing}
      <ul class="key">
        ${this.#drawn(batches).map(({ batch, number }, place) => {
          const { ink, dash } = lineMark(place)
          return html`<li>
            <svg width="44" height="12" aria-hidden="true">
              <line
                x1="0"
                x2="44"
                y1="6"
                y2="6"
                stroke="var(${ink})"
                stroke-width="3"
                stroke-dasharray=${dash.join(' ')}
              ></line>
            </svg>
            <strong>${number}</strong> ${batchName(batch, store.clock.nowMs(), zone)}
          </li>`
        })}
      </ul>`
  }

  #picture(batch: ComparedBatch, number: number, all: readonly ComparedBatch[], hotC: number) {
    const { id } = batch.batch
    const name = batchName(batch, store.clock.nowMs(), zone)
    const isPicked = this.picked.includes(id)
    const longest = Math.max(...all.map(({ waterC, hatched }) => (waterC ?? hatched)?.s.at(-1) ?? 0))
    return html`<li>
      <a href=${batchPath(id)}>
        <bw-small-batch .batch=${batch} .hours=${Math.max(1, longest / 3600)} .hotC=${hotC}></bw-small-batch>
        <span><strong>${number}</strong> ${name}</span>
        <span>${yieldText(batch)}</span>
        <span class="soft">${verdictText(this.#verdicts.of(id))}</span>
      </a>
      <label>
        <input
          type="checkbox"
          .checked=${isPicked}
          ?disabled=${!isPicked && this.picked.length >= MOST_DRAWN}
          @change=${() => this.#pick(id)}
        />
        Draw<span class="hidden"> ${number}, ${name}</span>
      </label>
    </li>`
  }

  #table(batches: readonly ComparedBatch[]) {
    const nowMs = store.clock.nowMs()
    return html`<section>
      <h2 id="figures">In figures</h2>
      <p class="sideways soft">
        The table goes on to the right: <b aria-hidden="true">→</b> swipe it sideways.
      </p>
      <div class="scroll" tabindex="0" role="region" aria-labelledby="figures">
        <table>
          <thead>
            <tr>
              <th scope="col">No.</th>
              <th scope="col">Batch</th>
              <th scope="col">Lot</th>
              <th scope="col">Counted</th>
              <th scope="col">Open for</th>
              <th scope="col">A tenth out after</th>
              <th scope="col">Nine tenths</th>
              <th scope="col">Worst</th>
            </tr>
          </thead>
          <tbody>
            ${batches.map(
              (one, at) =>
                html`<tr>
                  <td>${at + 1}</td>
                  <th scope="row"><a href=${batchPath(one.batch.id)}>${batchName(one, nowMs, zone)}</a></th>
                  <td>${one.batch.lot ?? '–'}</td>
                  <td>${yieldText(one)}</td>
                  <td>${lastedText(one, nowMs)}</td>
                  <td>${reachedText(one.t10S)}</td>
                  <td>${reachedText(one.t90S)}</td>
                  <td>${verdictText(this.#verdicts.of(one.batch.id))}</td>
                </tr>`,
            )}
          </tbody>
        </table>
      </div>
    </section>`
  }

  #groupTitle(count: number): string {
    const { lot, vesselId } = this.#group
    const many = `${count} ${count === 1 ? 'batch' : 'batches'}`
    if (lot !== '') return `${many} of ${lot}`
    if (vesselId !== '')
      return `${many} of ${this.vessels.find(({ id }) => id === vesselId)?.name ?? 'a vessel that is gone'}`
    return `The newest ${many}`
  }

  #drawn(batches: readonly ComparedBatch[]) {
    return batches
      .map((batch, at) => ({ batch, number: at + 1 }))
      .filter(({ batch }) => this.picked.includes(batch.batch.id))
  }

  readonly #regroup = (event: Event): void => {
    const { value } = event.target as HTMLSelectElement
    const [kind = '', ...rest] = value.split(' ')
    const name = rest.join(' ')
    this.#group = { lot: kind === 'lot' ? name : '', vesselId: kind === 'vessel' ? name : '' }
    this.picked = []
    this.#write()
    void this.#fetch([])
  }

  #pick(id: string): void {
    this.picked = this.picked.includes(id)
      ? this.picked.filter(each => each !== id)
      : [...this.picked, id].slice(0, MOST_DRAWN)
    this.#write()
  }
  #align(by: AlignBy): void {
    this.by = by
    this.#write()
  }

  /** The address carries what is looked at, without a step back for each change. */
  #write(): void {
    history.replaceState(null, '', comparePath({ ...this.#group, by: this.by, batchIds: this.picked }))
  }

  /** The group; and those of a link that are not in it. */
  async #fetch(wanted: readonly string[]): Promise<void> {
    const asked = ++this.#asked
    try {
      const group = await askGroup(this.#group)
      if (asked !== this.#asked) return
      const missing = wanted.filter(id => !group.batches.some(({ batch }) => batch.id === id))
      const more = missing.length === 0 ? [] : (await askThese(missing)).batches
      if (asked !== this.#asked) return
      const all = [...more, ...group.batches]
      this.batches = all.sort((a, b) => Date.parse(a.batch.startedAt) - Date.parse(b.batch.startedAt))
      // One alone is beside nothing.
      if (this.picked.length < 2) {
        const newest = [...this.batches].reverse().map(({ batch }) => batch.id)
        this.picked = [...new Set([...this.picked, ...newest])].slice(0, USUAL_DRAWN)
      }
      void this.#verdicts.ask([...all].reverse().map(({ batch }) => batch.id))
    } catch (error) {
      if (asked !== this.#asked) return
      this.problem = error instanceof ApiError ? error.message : 'The batches could not be read.'
    }
  }
}
customElements.define('bw-compare-page', ComparePage)

/** Those of the room first. */
function named(names: Readonly<Record<string, string>>, room: ReadonlyMap<string, unknown>) {
  return Object.entries(names)
    .map(([id, name]) => ({ id, name, gone: !room.has(id) }))
    .sort((a, b) => Number(a.gone) - Number(b.gone) || a.name.localeCompare(b.name))
}
