import { css, html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { ApiError, request } from '../state/api.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { vesselPath } from '../state/route.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { prioritySign } from '../vessel/marks.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { duration, moment } from '../words/time.ts'
import { inOrder, mustSound, needsPerson } from './order.ts'
import { sound } from './sound.ts'

/** The standing alarms, above everything else on every view. */
export class AlarmBar extends LitElement {
  static override properties = { busy: { state: true }, failed: { state: true }, all: { state: true } }
  declare busy: ReadonlySet<string>
  declare failed: string
  /** Whether all are shown, or on a small screen the foremost alone. */
  declare all: boolean
  readonly #alarms = new Watch(this, store => store.state.alarms)
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #tick = new Tick(this, 10_000)

  constructor() {
    super()
    this.busy = new Set()
    this.failed = ''
    this.all = false
    new Frames(this, frame => {
      const alarms = inOrder(frame.state.alarms.values())
      sound.sound(alarms.find(mustSound)?.priority ?? null)
      const count = alarms.filter(needsPerson).length
      const title =
        count === 0 ? 'brinewatch' : `(${count}) ${ALARM_WORD[alarms[0]?.rule ?? 'air-lost']} · brinewatch`
      if (document.title !== title) document.title = title
    })
  }

  static override styles = [
    shared,
    css`
      :host {
        display: block;
      }
      ul {
        max-height: 46vh;
        overflow-y: auto;
        overscroll-behavior: contain;
      }
      li {
        display: grid;
        grid-template-columns: 44px minmax(0, 1fr);
        gap: 4px 12px;
        padding: 12px 16px;
        align-items: center;
        --sign-cut: var(--back);
        background: var(--back);
        color: var(--front);
        border-bottom: 2px solid var(--ground);
      }
      li.critical {
        --back: var(--critical);
        --front: var(--on-critical);
      }
      li.high {
        --back: var(--high);
        --front: var(--on-high);
      }
      li.low {
        --back: var(--low);
        --front: var(--on-low);
      }
      li.seen {
        --back: var(--raised);
        --front: var(--ink);
      }
      li.needs svg {
        animation: beat 1s infinite alternate ease-in-out;
      }
      @keyframes beat {
        from {
          transform: scale(0.86);
        }
        to {
          transform: scale(1.08);
        }
      }
      @media (prefers-reduced-motion: reduce) {
        li.needs svg {
          animation: none;
        }
      }
      strong {
        font-size: 1.25rem;
        line-height: 1.2;
        display: block;
      }
      strong a {
        text-decoration: underline;
        text-decoration-thickness: 2px;
        text-underline-offset: 3px;
      }
      p {
        font-size: 1rem;
        line-height: 1.3;
      }
      .since {
        font-variant-numeric: tabular-nums;
      }
      button {
        grid-column: 1 / -1;
        background: var(--front);
        color: var(--back);
        border-color: var(--front);
        min-height: 56px;
        font-size: 1.125rem;
      }
      :focus-visible {
        outline-color: var(--front);
        outline-offset: -4px;
      }
      @media (min-width: 720px) {
        li {
          grid-template-columns: 44px minmax(0, 1fr) auto;
          padding: 12px 24px;
        }
        button {
          grid-column: auto;
        }
      }
      ul.folded li:nth-child(n + 2) {
        display: none;
      }
      li.seen {
        padding-block: 6px;
      }
      li.seen .text {
        display: none;
      }
      button.more {
        width: 100%;
        min-height: 48px;
        border-radius: 0;
        border-color: transparent;
        border-bottom: 2px solid var(--line);
        background: var(--raised);
        color: var(--ink);
        font-size: 1rem;
        justify-content: flex-start;
        padding-inline: 16px;
        text-align: left;
      }
      @media (min-width: 720px) {
        ul.folded li:nth-child(2) {
          display: grid;
        }
        button.more {
          padding-inline: 24px;
        }
        button.more.few {
          display: none;
        }
      }
      .failed {
        padding: 10px 16px;
        background: var(--ground);
      }
    `,
  ]

  override render() {
    const alarms = inOrder(this.#alarms.value.values())
    const first = alarms.find(needsPerson)
    return html`
      <div role="alert" class="hidden">
        ${first ? `${ALARM_WORD[first.rule]}: ${this.#name(first)}. ${first.text}` : nothing}
      </div>
      ${
        alarms.length === 0
          ? nothing
          : html`<ul
                class=${this.all ? '' : 'folded'}
                aria-label="Standing alarms"
                tabindex=${this.all ? 0 : nothing}
              >
                ${repeat(
                  alarms,
                  alarm => alarm.id,
                  alarm => this.#row(alarm),
                )}
              </ul>
              ${this.#more(alarms)}`
      }
      ${this.failed === '' ? nothing : html`<p class="failed" role="status">${this.failed}</p>`}
    `
  }

  #more(alarms: readonly Alarm[]) {
    const count = alarms.length - 1
    if (count === 0) return nothing
    const words = alarms
      .slice(1)
      .map(alarm => `${ALARM_WORD[alarm.rule].toLowerCase()}, ${this.#name(alarm)}`)
    return html`<button
      class="more ${count === 1 ? 'few' : ''}"
      aria-expanded=${this.all}
      @click=${() => {
        this.all = !this.all
      }}
    >
      ${this.all ? 'Show the foremost only' : `And ${count} more: ${words.slice(0, 2).join('; ')}${count > 2 ? '…' : ''}`}
    </button>`
  }

  #name(alarm: Alarm): string {
    return this.#vessels.value.get(alarm.vesselId)?.name ?? 'A vessel'
  }

  #row(alarm: Alarm) {
    const needs = needsPerson(alarm)
    const raisedMs = Date.parse(alarm.raisedAt)
    const nowMs = this.#tick.nowMs
    const over = alarm.state === 'return-to-normal-unacknowledged'
    return html`<li class="${alarm.priority} ${needs ? 'needs' : 'seen'}">
      ${prioritySign(alarm.priority)}
      <div>
        <strong
          >${ALARM_WORD[alarm.rule]}: <a href=${vesselPath(alarm.vesselId)}>${this.#name(alarm)}</a></strong
        >
        <p class="text">${alarm.text}</p>
        <p class="since">
          Since ${moment(raisedMs, nowMs, zone)},
          ${duration(nowMs - raisedMs)}${over ? '; over by now' : ''}${
            alarm.acknowledgedAt === null
              ? ''
              : `; seen${alarm.acknowledgedBy ? ` by ${alarm.acknowledgedBy}` : ''} ${moment(Date.parse(alarm.acknowledgedAt), nowMs, zone)}`
          }
        </p>
      </div>
      ${
        needs
          ? html`<button
              ?disabled=${this.busy.has(alarm.id)}
              @click=${() => this.#acknowledge(alarm)}
              aria-label="Acknowledge: ${ALARM_WORD[alarm.rule]}, ${this.#name(alarm)}"
            >
              Acknowledge
            </button>`
          : nothing
      }
    </li>`
  }

  async #acknowledge(alarm: Alarm): Promise<void> {
    this.busy = new Set([...this.busy, alarm.id])
    this.failed = ''
    try {
      await request('POST', `/alarms/${encodeURIComponent(alarm.id)}/acknowledge`)
    } catch (error) {
      this.failed = error instanceof ApiError ? error.message : 'That could not be acknowledged.'
    }
    this.busy = new Set([...this.busy].filter(id => id !== alarm.id))
  }
}
customElements.define('bw-alarms', AlarmBar)
