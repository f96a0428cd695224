import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import type { Journal, JournalEntry } from '../../broker/web/api/journal.ts'
import { entryOf, entryStyle } from '../journal/entry.ts'
import { figuresOf, figuresStyle } from '../journal/figures.ts'
import '../journal/week.ts'
import type { PickAlarmEvent } from '../journal/week.ts'
import { ApiError, request } from '../state/api.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { isOfWork, loadSentence, ofWorkWords, uncountedWords } from '../words/journal.ts'
import { dayName, listed, moment } from '../words/time.ts'

const DAY_MS = 86_400_000
const SPANS = [
  { days: 1, word: 'Day' },
  { days: 7, word: 'Week' },
  { days: 30, word: 'Month' },
] as const
const PAGE = 50
type Rule = JournalEntry['alarm']['rule']
type Priority = JournalEntry['alarm']['priority']

/** Every alarm there was: a week at a time, how much it asked of people, and the life of each. */
export class JournalView extends LitElement {
  static override properties = {
    journal: { state: true },
    entries: { state: true },
    more: { state: true },
    days: { state: true },
    back: { state: true },
    vesselId: { state: true },
    rule: { state: true },
    priority: { state: true },
    failed: { state: true },
  }
  /** `null` while it is not known. */
  declare journal: Journal | null
  declare entries: readonly JournalEntry[]
  declare more: boolean
  /** How long a span is shown, and how many of them ago it ended. */
  declare days: number
  declare back: number
  declare vesselId: string
  declare rule: Rule | ''
  declare priority: Priority | ''
  declare failed: string
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')
  readonly #tick = new Tick(this, 60_000)
  #asked = 0
  #wanted: string | null = null

  constructor() {
    super()
    this.journal = null
    this.entries = []
    this.more = false
    this.days = 7
    this.back = 0
    this.vesselId = ''
    this.rule = ''
    this.priority = ''
    this.failed = ''
    let standing: unknown = null
    new Frames(this, ({ state }) => {
      // An alarm that comes or goes is a line of the journal, too.
      if (standing !== null && standing !== state.alarms && this.back === 0) void this.#ask()
      standing = state.alarms
    })
  }

  static override styles = [
    shared,
    figuresStyle,
    entryStyle,
    css`
      .spans {
        justify-content: space-between;
      }
      .spans button {
        padding-inline: 16px;
      }
      .of-work > summary {
        width: auto;
        padding: 12px 0;
        line-height: 1.35;
      }
      .filters {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(150px, 1fr));
        gap: 12px;
      }
      .filters label {
        display: grid;
        gap: 4px;
        font-weight: 650;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
  }

  override updated(changed: PropertyValues<this>): void {
    if (!changed.has('entries') || this.#wanted === null) return
    this.#show(this.#wanted)
  }

  override render() {
    const { journal } = this
    const nowMs = this.#tick.nowMs
    const here = [...this.#vessels.value].map(([id, { name }]) => [id, name] as const)
    // Those that were put away keep the name they had.
    const names = new Map([...Object.entries(journal?.names ?? {}), ...here])
    const nameOf = (id: string | null) =>
      id === null ? 'the room' : (names.get(id) ?? 'a vessel that is gone')
    return html`<div class="page" @bw-pick-alarm=${this.#pick}>
      <h1>Alarm journal</h1>
      <div class="row weeks">
        <strong role="status"
          >${this.#span(nowMs)}${journal ? html`: ${loadSentence(journal.figures)}` : nothing}</strong
        >
        <div class="row" role="group" aria-label="How long">
          ${SPANS.map(
            ({ days, word }) =>
              html`<button
                class="quiet"
                aria-pressed=${this.days === days}
                @click=${() => this.#turn(days, 0)}
              >
                ${word}
              </button>`,
          )}
        </div>
        <div class="row" role="group" aria-label="When">
          <button class="quiet" @click=${() => this.#turn(this.days, this.back + 1)}>Earlier</button>
          <button
            class="quiet"
            ?disabled=${this.back === 0}
            @click=${() => this.#turn(this.days, this.back - 1)}
          >
            Later
          </button>
        </div>
      </div>
      ${this.failed === '' ? nothing : html`<p class="failed" role="alert">${this.failed}</p>`}
      ${
        journal === null
          ? this.failed === ''
            ? html`<p class="soft">Reading it…</p>`
            : nothing
          : html`<bw-alarm-week .journal=${journal} .names=${names} .nowMs=${nowMs}></bw-alarm-week>
              ${journal.cut ? html`<p class="soft">There were too many: this shows the newest.</p>` : nothing}
              <section>
                <h2>How much that asks</h2>
                ${figuresOf(journal.figures, nameOf, nowMs)}
                <div class="row"><a class="button quiet" href="/try-out">Try other limits out</a></div>
              </section>
              <section>
                <h2>One by one</h2>
                ${this.#filters(names)} ${this.#uncounted(journal)} ${this.#list(nameOf, nowMs)}
              </section>`
      }
    </div>`
  }

  #span(nowMs: number): string {
    if (this.back === 0) return this.days === 1 ? 'The last 24 hours' : `The last ${this.days} days`
    const toMs = nowMs - this.back * this.days * DAY_MS
    const fromMs = toMs - this.days * DAY_MS
    const far = nowMs - fromMs > 6 * DAY_MS
    return this.days === 1
      ? `${moment(fromMs, nowMs, zone)} to ${moment(toMs, nowMs, zone)}`
      : `${dayName(fromMs, zone, far)} to ${dayName(toMs, zone, far)}`
  }

  #filters(names: ReadonlyMap<string, string>) {
    const choose = (part: 'vesselId' | 'rule' | 'priority') => (event: Event) => {
      Object.assign(this, { [part]: (event.target as HTMLSelectElement).value })
      void this.#ask()
    }
    const option = (value: string, text: string, chosen: string) =>
      html`<option value=${value} ?selected=${value === chosen}>${text}</option>`
    return html`<div class="filters" role="group" aria-label="Which alarms">
      <label
        >Vessel<select @change=${choose('vesselId')}>
          ${option('', 'All', this.vesselId)}
          ${byName(names).map(([id, name]) =>
            option(id, this.#vessels.value.has(id) ? name : `${name}, put away`, this.vesselId),
          )}
        </select></label
      >
      <label
        >Rule<select @change=${choose('rule')}>
          ${option('', 'All', this.rule)}
          ${Object.entries(ALARM_WORD).map(([rule, title]) => option(rule, title, this.rule))}
        </select></label
      >
      <label
        >Priority<select @change=${choose('priority')}>
          ${option('', 'All', this.priority)}
          ${['critical', 'high', 'low'].map(each => option(each, each, this.priority))}
        </select></label
      >
    </div>`
  }

  /** Of all of the span, so it is said only while all are listed. */
  #uncounted(journal: Journal) {
    const words = this.vesselId + this.rule + this.priority === '' ? uncountedWords(journal) : ''
    return words === '' ? nothing : html`<p class="soft">${words}</p>`
  }

  #list(nameOf: (id: string | null) => string, nowMs: number) {
    if (this.entries.length === 0) return html`<p class="soft">None.</p>`
    const times = this.entries.map(cameMs)
    const of = (entry: JournalEntry) =>
      entryOf(entry, nameOf, this.#unit.value, nowMs, listed(cameMs(entry), times, nowMs, zone))
    const aside = this.entries.filter(isOfWork)
    return html`<ul>
        ${this.entries.filter(entry => !isOfWork(entry)).map(of)}
      </ul>
      ${
        aside.length === 0
          ? nothing
          : html`<details class="of-work">
              <summary>${ofWorkWords(aside.length)}</summary>
              <ul>
                ${aside.map(of)}
              </ul>
            </details>`
      }
      ${
        this.more
          ? html`<div class="row">
              <button class="quiet" @click=${() => this.#ask(this.entries.length)}>Show more</button>
            </div>`
          : nothing
      }`
  }

  #turn(days: number, back: number): void {
    this.days = days
    this.back = back
    this.journal = null
    this.entries = []
    void this.#ask()
  }

  readonly #pick = (event: PickAlarmEvent): void => {
    if (this.#show(event.alarmId)) return
    // It is not among those listed: the filters, or the page, leave it out.
    this.vesselId = ''
    this.rule = ''
    this.priority = ''
    this.#wanted = event.alarmId
    void this.#ask(0, 200)
  }

  #show(alarmId: string): boolean {
    const details = this.renderRoot.querySelector<HTMLDetailsElement>(`[data-id="${CSS.escape(alarmId)}"]`)
    if (!details) return false
    this.#wanted = null
    const around = details.parentElement?.closest('details')
    if (around) around.open = true
    details.open = true
    details.querySelector('summary')?.focus()
    details.scrollIntoView({ block: 'center' })
    return true
  }

  async #ask(skip = 0, limit = Math.max(PAGE, skip === 0 ? this.entries.length : 0)): Promise<void> {
    const asked = ++this.#asked
    // The newest span ends with the broker's own now.
    const toMs = Math.round(this.#tick.nowMs) + 1 - this.back * this.days * DAY_MS
    const query = new URLSearchParams({ limit: String(Math.min(limit, 200)), skip: String(skip) })
    query.set('from', String(toMs - this.days * DAY_MS))
    if (this.back > 0) query.set('to', String(toMs))
    for (const part of ['vesselId', 'rule', 'priority'] as const)
      if (this[part] !== '') query.set(part, this[part])
    try {
      const journal = await request<Journal>('GET', `/alarms/journal?${query}`)
      if (asked !== this.#asked) return
      this.journal = journal
      this.entries = skip === 0 ? journal.entries : [...this.entries, ...journal.entries]
      this.more = journal.more
      this.failed = ''
    } catch (error) {
      if (asked !== this.#asked) return
      this.failed = error instanceof ApiError ? error.message : 'The journal could not be read.'
    }
  }
}
customElements.define('bw-journal', JournalView)

const cameMs = ({ alarm }: JournalEntry): number => Date.parse(alarm.raisedAt)

const byName = (names: ReadonlyMap<string, string>) =>
  [...names].sort(([, a], [, b]) => a.localeCompare(b, 'en', { numeric: true }))
