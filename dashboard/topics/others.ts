import { css, html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { AdoptedTopic, RefusedTopic, SeenTopic } from '../../broker/web/api/topics.ts'
import { fieldText, foot, line, problem, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { forWhom, may } from '../state/me.ts'
import { Tick } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { duration } from '../words/time.ts'
import './bridges.ts'
import { guessMeasure, unlikely } from './guess.ts'
import { MEASURES, nameFor, shownAs } from './measures.ts'

const ASK_EVERY_MS = 3000

/** Sensors that are there already: topics seen lately, the numbers in them as buttons, and what was made of them. */
export class Others extends LitElement {
  static override properties = {
    seen: { state: true },
    adopted: { state: true },
    picked: { state: true },
    measureId: { state: true },
    lost: { state: true },
    refused: { state: true },
    warned: { state: true },
  }
  declare seen: readonly SeenTopic[] | null
  declare adopted: readonly AdoptedTopic[]
  declare picked: { readonly topic: string; readonly pointer: string | null; readonly value: number } | null
  declare measureId: string
  declare lost: boolean
  /** What came outside of what its sender may send. */
  declare refused: readonly RefusedTopic[]
  /** What was said of a number that can hardly be what it is said to be. */
  declare warned: string | null
  readonly #tick = new Tick(this, 2000)
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () =>
    this.picked ? `adopt.${this.picked.topic}.${this.picked.pointer ?? ''}` : null,
  )
  #timer: ReturnType<typeof setInterval> | undefined

  constructor() {
    super()
    this.seen = null
    this.adopted = []
    this.picked = null
    this.measureId = MEASURES[0]!.id
    this.lost = false
    this.refused = []
    this.warned = null
  }

  static override styles = [
    shared,
    css`
      .lines > li {
        padding: 12px 0;
        border-top: 1px solid var(--line);
        display: grid;
        gap: 8px;
        min-width: 0;
      }
      strong,
      code {
        overflow-wrap: anywhere;
      }
      code {
        color: var(--ink-soft);
        display: -webkit-box;
        -webkit-line-clamp: 3;
        -webkit-box-orient: vertical;
        overflow: hidden;
      }
      .numbers button {
        min-height: 48px;
        padding: 4px 14px;
        font-size: 1rem;
        overflow-wrap: anywhere;
      }
      .apart {
        display: flex;
        flex-wrap: wrap;
        gap: 8px 16px;
        align-items: center;
        justify-content: space-between;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
    this.#timer = setInterval(() => void this.#ask(), ASK_EVERY_MS)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearInterval(this.#timer)
  }

  override render() {
    return html`<div class="page">
      <section>
        <h1>Sensors that are already there</h1>
        <p>
          Whatever publishes a number over MQTT can watch a vessel: pick its number below. It is then a device
          like any other, with the same alarms. Its time is when it came, and what is sent twice counts twice.
        </p>
        ${may('owner') ? nothing : html`<p class="soft">${forWhom('owner')}</p>`}
      </section>
      ${this.adopted.length > 0 ? this.#read() : nothing}
      <section>
        <h2>Seen lately</h2>
        ${this.lost ? html`<p class="failed" role="alert">This could not be looked up. Trying again.</p>` : nothing}
        ${this.#seen()}
      </section>
      ${this.refused.length > 0 ? this.#turnedAway() : nothing}
      <section>
        <h2>Who may send here</h2>
        <bw-bridges></bw-bridges>
      </section>
    </div>`
  }

  #read() {
    return html`<section>
      <h2>Read as devices</h2>
      ${this.picked ? nothing : problem(this.#sending)}
      <ul class="lines">
        ${this.adopted.map(
          one =>
            html`<li class="apart">
              <span>
                <strong>${one.device}/${one.channel}</strong> from
                ${one.topic}${one.pointer ? html` at ${one.pointer}` : nothing}
              </span>
              ${
                may('owner')
                  ? html`<button
                      class="quiet"
                      ?disabled=${this.#sending.busy}
                      @click=${() => this.#sending.send(() => request('DELETE', `/adopted-topics/${one.id}`)).then(() => this.#ask())}
                    >
                      Stop reading<span class="hidden"> ${one.device}/${one.channel}</span>
                    </button>`
                  : nothing
              }
            </li>`,
        )}
      </ul>
      <p class="soft">Put each on its vessel in the room, or on the vessel's page under Channels.</p>
    </section>`
  }

  #seen() {
    const { seen } = this
    if (seen === null) return html`<p class="soft">Listening…</p>`
    if (seen.length === 0)
      return html`<p class="soft">
        Nothing yet. Make credentials below, have the sensor publish, and it stands here.
      </p>`
    return html`<ul class="lines">
      ${repeat(
        seen.slice(0, 100),
        ({ topic }) => topic,
        topic => this.#topic(topic),
      )}
    </ul>`
  }

  #turnedAway() {
    return html`<section>
      <h2>Turned away</h2>
      <p class="soft">
        What came on a topic that its sender may not use is not read. If it should be, make credentials for
        that topic, or have the sensor publish on one that it may use.
      </p>
      <ul class="lines">
        ${repeat(
          this.refused,
          ({ bridge, topic }) => `${bridge} ${topic}`,
          ({ bridge, topic, count, at }) =>
            html`<li>
              <span>
                <strong>${bridge}</strong> sent to <strong>${topic}</strong>, which it may not:
                ${count === 1 ? 'one message' : `${count} messages`}, the last
                ${duration(Math.max(0, this.#tick.nowMs - Date.parse(at)))} ago
              </span>
            </li>`,
        )}
      </ul>
    </section>`
  }

  #topic(topic: SeenTopic) {
    const age = duration(Math.max(0, this.#tick.nowMs - Date.parse(topic.at)))
    return html`<li>
      <strong>${topic.topic}</strong>
      <span class="soft">
        ${topic.retained ? 'Kept by the broker, of an age that nobody knows: not read' : `${age} ago`}${
          topic.bridge ? `, from ${topic.bridge}` : ''
        }${topic.count > 1 ? `, ${topic.count} messages` : ''}
      </span>
      <code>${topic.text === '' ? 'an empty message' : topic.text}</code>
      ${
        topic.numbers.length === 0
          ? html`<span class="soft">No number in it.</span>`
          : !may('owner')
            ? nothing
            : html`<div class="row numbers" role="group" aria-label="Numbers in ${topic.topic}">
                ${topic.numbers.map(
                  ({ pointer, value }) =>
                    html`<button
                      class="quiet"
                      aria-pressed=${this.picked?.topic === topic.topic && this.picked.pointer === pointer}
                      @click=${() => this.#pick(topic.topic, pointer, value)}
                    >
                      ${pointer === null || pointer === '' ? nothing : html`${pointer} `}${Number(value.toPrecision(7))}
                    </button>`,
                )}
              </div>`
      }
      ${this.picked?.topic === topic.topic ? this.#form(topic) : nothing}
    </li>`
  }

  #form(topic: SeenTopic) {
    const { picked } = this
    const measure = MEASURES.find(({ id }) => id === this.measureId) ?? MEASURES[0]!
    if (!picked) return nothing
    const doubt = this.warned ?? unlikely(measure, measure.scale, measure.offset, picked.value)
    return html`<form novalidate @submit=${this.#submit}>
      <div class="field">
        <label for="measure">What it measures</label>
        <select
          id="measure"
          name="measure"
          @change=${(event: Event) => {
            this.measureId = (event.currentTarget as HTMLSelectElement).value
            this.warned = null
          }}
        >
          ${MEASURES.map(({ id, text }) => html`<option value=${id} ?selected=${id === measure.id}>${text}</option>`)}
        </select>
      </div>
      ${line('device', 'Name of the device', this.#sending, {
        value: nameFor(topic.topic),
        hint: 'Letters, digits, - and _',
        maxLength: 63,
      })}
      <details ?open=${this.#sending.fields.has('scale') || this.#sending.fields.has('offset')}>
        <summary>Another scale</summary>
        <div class="pair">
          ${line('scale', 'Times', this.#sending, { value: String(Number(measure.scale.toPrecision(10))), numeric: true })}
          ${line('offset', 'Plus', this.#sending, { value: String(Number(measure.offset.toPrecision(10))), numeric: true })}
        </div>
      </details>
      <p>Now: <strong>${shownAs(measure, measure.scale, measure.offset, picked.value)}</strong></p>
      <p role="status" class="failed" ?hidden=${doubt === null}>${doubt}</p>
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>
            ${doubt === null ? 'Read it' : 'Read it all the same'}
          </button>
          <button
            type="button"
            class="quiet"
            @click=${() => {
              this.#draft.drop()
              this.picked = null
            }}
          >
            Not this one
          </button>`,
      )}
    </form>`
  }

  #pick(topic: string, pointer: string | null, value: number): void {
    this.picked = { topic, pointer, value }
    this.measureId = guessMeasure(topic, pointer).id
    this.warned = null
    this.#sending.refuse(new Map())
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('#measure')?.focus())
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const measure = MEASURES.find(({ id }) => id === fieldText(form, 'measure'))
    const { picked } = this
    if (!measure || !picked) return
    const number = (name: 'scale' | 'offset') => {
      const text = fieldText(form, name).replace('−', '-')
      const usual = measure[name]
      return text === String(Number(usual.toPrecision(10))) ? usual : readNumber(text)
    }
    const [scale, offset] = [number('scale'), number('offset')]
    const wrong = new Map<string, string>()
    if (scale === null || scale === 0) wrong.set('scale', 'Write a number other than 0.')
    if (offset === null) wrong.set('offset', 'Write a number.')
    if (wrong.size > 0 || scale === null || offset === null) return this.#sending.refuse(wrong)
    // With another scale typed in it may be as unlikely, and that was not said yet.
    const doubt = unlikely(measure, scale, offset, picked.value)
    const shown = this.warned ?? unlikely(measure, measure.scale, measure.offset, picked.value)
    if (doubt !== null && doubt !== shown) {
      this.warned = doubt
      return
    }
    const { topic, pointer } = picked
    const sent = {
      topic,
      pointer,
      device: fieldText(form, 'device').trim(),
      channel: measure.role,
      unit: measure.unit,
      scale,
      offset,
    }
    if (!(await this.#sending.send(() => request('POST', '/adopted-topics', sent)))) return
    this.#draft.drop()
    this.picked = null
    await this.#ask()
  }

  async #ask(): Promise<void> {
    try {
      const [{ topics, refused }, { adopted }] = await Promise.all([
        request<{ topics: SeenTopic[]; refused: RefusedTopic[] }>('GET', '/topics'),
        request<{ adopted: AdoptedTopic[] }>('GET', '/adopted-topics'),
      ])
      // What somebody is about to tap must not move away: known topics keep their place.
      const order = new Map((this.seen ?? []).map(({ topic }, at) => [topic, at]))
      this.seen = [...topics].sort((a, b) => (order.get(a.topic) ?? 1e6) - (order.get(b.topic) ?? 1e6))
      this.adopted = adopted
      this.refused = refused
      this.lost = false
    } catch {
      this.lost = true
    }
  }
}
customElements.define('bw-others', Others)
