import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { prioritySign } from '../vessel/marks.ts'
import { moment, next } from '../words/time.ts'
import { type Happening, happeningAt } from './happenings.ts'
import { MomentEvent } from './moment-event.ts'

const SIGN: Record<Happening['kind'], string> = {
  batch: '●',
  hatch: '◐',
  alarm: '▲',
  person: '✎',
  reminder: '☐',
  gap: '┄',
  cause: '▼',
}
/** What kind of thing it is, for whoever does not see the sign. */
const KIND: Record<Happening['kind'], string> = {
  batch: 'Batch',
  hatch: 'Hatch',
  alarm: 'Alarm',
  person: 'Done',
  reminder: 'Reminder',
  gap: 'Gap',
  cause: 'Cause',
}

/** Everything that happened, in step with the moment that is looked at; a tap goes there. */
export class Happenings extends LitElement {
  static override properties = {
    happenings: { attribute: false },
    atMs: { attribute: false },
    nowMs: { attribute: false },
    index: { state: true },
  }
  declare happenings: readonly Happening[]
  declare atMs: number
  declare nowMs: number
  /** The last that has happened by then. */
  declare index: number

  constructor() {
    super()
    this.happenings = []
    this.atMs = 0
    this.nowMs = 0
    this.index = -1
  }

  static override styles = [
    shared,
    css`
      ol {
        margin: 0;
        padding: 0;
        list-style: none;
        max-height: min(60vh, 34rem);
        overflow-y: auto;
        overscroll-behavior: contain;
        position: relative;
      }
      button {
        display: grid;
        grid-template-columns: 26px minmax(0, 1fr);
        gap: 0 10px;
        justify-content: stretch;
        width: 100%;
        min-height: 48px;
        padding: 8px 6px;
        border: 0;
        border-left: 4px solid transparent;
        border-radius: 0;
        background: transparent;
        color: var(--ink);
        font-size: 1rem;
        font-weight: 500;
        text-align: left;
      }
      li + li {
        border-top: 1px solid var(--line);
      }
      .sign {
        grid-row: span 2;
        text-align: center;
        align-self: center;
      }
      .when {
        color: var(--ink-soft);
        font-size: 0.9375rem;
        font-variant-numeric: tabular-nums;
      }
      .words {
        overflow-wrap: anywhere;
      }
      [aria-current] {
        border-left-color: var(--nauplii);
        background: var(--raised);
        font-weight: 700;
      }
      .later {
        color: var(--ink-soft);
      }
      .cause .sign {
        color: var(--hot);
      }
      .critical .sign {
        color: var(--critical);
        --sign-cut: var(--on-critical);
      }
      .high .sign {
        color: var(--high);
        --sign-cut: var(--on-high);
      }
      .low .sign {
        color: var(--low);
        --sign-cut: var(--on-low);
      }
    `,
  ]

  protected override shouldUpdate(changed: PropertyValues<this>): boolean {
    // The list is drawn anew when something has begun to be past, not at every moment.
    const index = happeningAt(this.happenings, this.atMs)
    const moved = index !== this.index
    if (moved) this.index = index
    return moved || changed.size > 1 || !changed.has('atMs')
  }

  override render() {
    return html`<ol>
      ${this.happenings.map((each, at) => {
        const { kind, atMs, words, by, priority } = each
        const before = this.happenings[at - 1]
        const when = before ? next(atMs, before.atMs, this.nowMs, zone) : moment(atMs, this.nowMs, zone)
        const classes = `${kind} ${priority ?? ''} ${at > this.index ? 'later' : ''}`
        return html`<li>
          <button
            class=${classes}
            aria-current=${at === this.index ? 'step' : nothing}
            @click=${() => this.dispatchEvent(new MomentEvent(atMs))}
          >
            <span class="sign" aria-hidden="true">${priority ? prioritySign(priority, 24) : SIGN[kind]}</span>
            <span class="when">${when}<span class="hidden">, ${KIND[kind]}</span></span>
            <span class="words">${words}${by ? html`, <span class="soft">${by}</span>` : nothing}</span>
          </button>
        </li>`
      })}
    </ol>`
  }

  protected override updated(): void {
    // Where a row stands is known for nothing once the page is laid out; asked for now, it would be laid out twice.
    requestAnimationFrame(() => this.#inSight())
  }

  /** In step within its own frame only: the page stays where the person has put it. */
  #inSight(): void {
    const list = this.renderRoot.querySelector('ol')
    const row = list?.querySelector<HTMLElement>('[aria-current]')
    if (!list || !row) return
    const top = row.parentElement!.offsetTop
    if (top < list.scrollTop || top + row.offsetHeight > list.scrollTop + list.clientHeight)
      list.scrollTop = top - list.clientHeight / 3
  }
}
customElements.define('bw-happenings', Happenings)
