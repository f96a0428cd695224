import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { problem, Sending } from '../forms/form.ts'
import '../forms/first-swimmers.ts'
import { keptCount } from '../forms/kept-count.ts'
import { withdraw } from '../forms/seen-event.ts'
import { noteDraft } from '../forms/note-draft.ts'
import { BatchLog } from '../state/batch-log.ts'
import { hasDraft } from '../state/draft.ts'
import { Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { againstFirst, countedOut } from '../words/against-first.ts'
import { estimateText, seenText, standingFirst } from '../words/seen.ts'
import { moment } from '../words/time.ts'
import { Estimates } from './estimates.ts'

const photoUrl = (photoId: string): string => `/api/v1/photos/${encodeURIComponent(photoId)}`

/** Which form stands open. A closed set. */
const Writing = { none: 'none', count: 'count', note: 'note' } as const
type Writing = (typeof Writing)[keyof typeof Writing]

/** What is seen of a batch: the few big buttons that write it down, and all that was written. */
export class Seen extends LitElement {
  static override properties = {
    batch: { attribute: false },
    late: { type: Boolean },
    out: { attribute: false },
    writing: { state: true },
    asked: { state: true },
  }
  declare batch: Batch | null
  /** Most are out by now: what comes first was long ago. */
  declare late: boolean
  /** What is out by the forecast, where a good part is; empty else. */
  declare out: string
  declare writing: Writing
  /** The entry whose taking back was tapped once. */
  declare asked: string
  readonly #estimates = new Estimates(this)
  readonly #log = new BatchLog(this)
  readonly #taking = new Sending(this)
  readonly #tick = new Tick(this, 60_000)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')
  /** The batch whose half-made entries were looked for. */
  #lookedAt = ''

  constructor() {
    super()
    this.batch = null
    this.late = false
    this.out = ''
    this.writing = Writing.none
    this.asked = ''
  }

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 18px;
      }
      .big {
        display: grid;
        grid-template-columns: repeat(2, minmax(0, 1fr));
        gap: 12px;
      }
      .big > * {
        grid-column: 1 / -1;
      }
      .big > button {
        grid-column: auto;
        min-height: 64px;
        padding-inline: 4px;
        font-size: 1rem;
      }
      .log {
        display: grid;
      }
      li {
        display: grid;
        grid-template-columns: 1fr auto;
        gap: 2px 12px;
        align-items: center;
        padding: 10px 0;
        border-top: 1px solid var(--line);
      }
      li p {
        overflow-wrap: anywhere;
      }
      li.back {
        color: var(--ink-soft);
      }
      del {
        text-decoration-thickness: 2px;
      }
      .result,
      .photo,
      .photo img {
        display: block;
      }
      .photo img {
        max-width: 100%;
        max-height: 220px;
        border-radius: 4px;
        margin: 6px 0;
      }
      .when {
        font-variant-numeric: tabular-nums;
        font-weight: 650;
      }
      li button {
        min-height: 48px;
        padding: 6px 0 6px 14px;
        font-size: 1rem;
        font-weight: 500;
        border: 0;
        text-decoration: underline;
        text-underline-offset: 4px;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    // Whoever only looks does not wait for it.
    void import('../book/observe.ts')
  }

  override willUpdate(changed: PropertyValues<this>): void {
    this.#log.follow(this.batch?.id ?? null)
    this.#bringBack()
    const before = changed.get('batch')
    // What a count says of the vessel changes with the water that was written down.
    if (before && before.id === this.batch?.id && before.litres !== this.batch.litres) this.#log.again()
  }

  /** A note or a count that was half made when the page closed stands open again. */
  #bringBack(): void {
    const { batch } = this
    if (!batch || batch.id === this.#lookedAt) return
    this.#lookedAt = batch.id
    if (hasDraft(noteDraft(batch.id))) void this.#write(Writing.note, false)
    else if (keptCount(batch, Date.now()) !== '') void this.#write(Writing.count, false)
  }

  /** Opens the form for a count, as a link elsewhere on the page asks for. */
  count(): void {
    void this.#write(Writing.count)
  }

  override render() {
    const { batch } = this
    if (!batch) return nothing
    return html`${this.#writers(batch)} ${problem(this.#taking)} ${this.#list()}`
  }

  #writers(batch: Batch) {
    const took = (event: Event) => {
      this.#log.take((event as CustomEvent<BatchEvent>).detail)
      if (this.writing !== Writing.none) this.#close()
    }
    const close = () => this.#close()
    if (this.writing === Writing.count)
      return html`<bw-count-form .batch=${batch} @bw-seen=${took} @bw-close=${close}></bw-count-form>`
    if (this.writing === Writing.note)
      return html`<bw-note-form .batch=${batch} @bw-seen=${took} @bw-close=${close}></bw-note-form>`
    const first = standingFirst(this.#log.events)
    return html`<div class="big">
      <bw-first-swimmers
        .batch=${batch}
        .first=${first}
        .late=${this.late}
        .out=${countedOut(this.#log.events, batch, this.#tick.nowMs) || this.out}
        .against=${againstFirst(this.#log.events, batch, first)}
        @bw-seen=${took}
      ></bw-first-swimmers>
      <button class="quiet" @click=${() => void this.#write(Writing.count)}>Count a sample</button>
      <button class="quiet" @click=${() => void this.#write(Writing.note)}>Write a note</button>
      <bw-observe .batch=${batch} @bw-seen=${took}></bw-observe>
    </div>`
  }

  #list() {
    if (this.#log.state === 'failed') return html`<p class="failed" role="status">${this.#log.problem}</p>`
    const { events } = this.#log
    if (events.length === 0)
      return this.#log.state === 'loading'
        ? nothing
        : html`<p class="soft">Nothing yet. What you see makes the next forecast surer.</p>`
    const nowMs = this.#tick.nowMs
    return html`<ul class="log" aria-label="What was seen">
      ${repeat(
        [...events].reverse(),
        event => event.id,
        event => this.#line(event, nowMs),
      )}
    </ul>`
  }

  #line(event: BatchEvent, nowMs: number) {
    const when = moment(Date.parse(event.at), nowMs, zone)
    const text = seenText(event, this.#unit.value)
    if (event.withdrawnAt !== null)
      return html`<li class="back" tabindex="-1" data-entry=${event.id}>
        <p><del>${when} ${text}</del></p>
        <span>taken back ${moment(Date.parse(event.withdrawnAt), nowMs, zone)}</span>
      </li>`
    const asked = this.asked === event.id
    return html`<li tabindex="-1" data-entry=${event.id}>
      <p>
        <span class="when">${when}</span> ${text} ${this.#result(event)}<span class="soft"
          >· ${event.by}</span
        >
      </p>
      <button
        class="quiet"
        ?disabled=${this.#taking.busy}
        @blur=${() => {
          if (this.asked === event.id) this.asked = ''
        }}
        @click=${() => {
          if (asked) void this.#takeBack(event)
          else this.asked = event.id
        }}
      >
        ${asked ? 'Yes, take it back' : 'Take back'}<span class="hidden">: ${text}, ${when}</span>
      </button>
    </li>`
  }

  /** What a count said stays beside it. */
  #result(event: BatchEvent) {
    if (event.kind === 'photo')
      return html`<a class="photo" href=${photoUrl(event.photoId)} target="_blank"
        ><img src=${photoUrl(event.photoId)} alt="Photo of the vessel" loading="lazy"
      /></a>`
    if (event.kind !== 'count' || !this.batch) return nothing
    const estimate = this.#estimates.of(event, this.batch)
    return estimate ? html`<strong class="result">${estimateText(estimate)}</strong> ` : nothing
  }

  async #write(what: Writing, toIt = true): Promise<void> {
    // The forms for it are fetched when they are first wanted.
    const fetched = () => Promise.all([import('../forms/count.ts'), import('../forms/note.ts')])
    if (!(await this.#taking.send(fetched))) return
    this.writing = what
    await this.updateComplete
    if (!toIt) return
    this.renderRoot.querySelector('bw-count-form, bw-note-form')?.scrollIntoView({ block: 'start' })
  }

  #close(): void {
    this.writing = Writing.none
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('.big > button')?.focus())
  }

  async #takeBack(event: BatchEvent): Promise<void> {
    if (!(await this.#taking.send(async () => this.#log.take(await withdraw(event))))) return
    this.asked = ''
    await this.updateComplete
    // Its button is gone: whoever uses keys goes on from the entry itself.
    this.renderRoot.querySelector<HTMLElement>(`li[data-entry="${CSS.escape(event.id)}"]`)?.focus()
  }
}
customElements.define('bw-seen', Seen)
