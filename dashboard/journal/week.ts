import { css, html, LitElement, nothing, svg } from 'lit'
import type { Journal } from '../../broker/web/api/journal.ts'
import { zone } from '../state/zone.ts'
import { place } from '../style/place.ts'
import { shared } from '../style/shared.ts'
import { timelineWords } from '../words/journal.ts'
import { dayName, hourTime } from '../words/time.ts'

type Mark = Journal['marks'][number]

const DAY_MS = 86_400_000
const ROW = 34
/** The width of the drawing's own units; it is stretched to whatever room there is. */
const WIDTH = 1000
/** The sign's half height, px: told apart by shape as well as by colour. */
const SIGN: Record<Mark['priority'], { readonly size: number; readonly points: string | null }> = {
  critical: { size: 11, points: '-4.5,-11 4.5,-11 11,-4.5 11,4.500 4.5,11 -4.5,11 -11,4.5 -11,-4.5' },
  high: { size: 10, points: '0,-11 11,9 -11,9' },
  low: { size: 7, points: null },
}

/** Asks for one alarm to be shown in the list. */
export class PickAlarmEvent extends Event {
  readonly alarmId: string
  constructor(alarmId: string) {
    super('bw-pick-alarm', { bubbles: true, composed: true })
    this.alarmId = alarmId
  }
}

/** The alarms of a span, a line for each vessel: a sign where each came, and a thread for as long as it lasted. */
export class AlarmWeek extends LitElement {
  static override properties = {
    journal: { attribute: false },
    names: { attribute: false },
    nowMs: { attribute: false },
  }
  declare journal: Journal | null
  /** The vessels' names by their ids; whoever is not there any more has none. */
  declare names: ReadonlyMap<string, string>
  declare nowMs: number

  constructor() {
    super()
    this.journal = null
    this.names = new Map()
    this.nowMs = 0
  }

  static override styles = [
    shared,
    css`
      figure {
        display: grid;
        gap: 4px;
      }
      /* A sign at either end of the span has room for its other half. */
      .thread,
      .days {
        margin-inline: 14px;
      }
      .rows {
        display: grid;
        position: relative;
        border-top: 1px solid var(--line);
      }
      .row-of {
        display: grid;
        position: relative;
        border-bottom: 1px solid var(--line);
        padding-top: 6px;
      }
      .row-of > span {
        font-size: 0.875rem;
        font-weight: 650;
        overflow-wrap: anywhere;
      }
      .thread {
        position: relative;
        height: ${ROW}px;
      }
      .thread > svg {
        position: absolute;
        inset: 0;
        width: 100%;
        height: 100%;
      }
      line {
        vector-effect: non-scaling-stroke;
      }
      .day {
        stroke: var(--line);
      }
      .now {
        stroke: var(--nauplii);
        stroke-width: 2;
      }
      .held {
        stroke: currentColor;
        stroke-width: 5;
        opacity: 0.55;
      }
      .critical {
        color: var(--critical);
      }
      .high {
        color: var(--high);
      }
      .low {
        color: var(--low);
      }
      @media (prefers-color-scheme: light) {
        :host(:not([data-dark])) .high polygon {
          stroke: var(--ink);
        }
      }
      button {
        position: absolute;
        left: var(--at);
        top: 50%;
        min-width: 24px;
        min-height: 24px;
        width: 28px;
        height: 34px;
        padding: 0;
        border: 0;
        background: transparent;
        transform: translate(-50%, -50%);
        color: inherit;
      }
      button svg {
        width: 24px;
        height: 24px;
        overflow: visible;
      }
      polygon,
      circle {
        fill: currentColor;
        stroke: var(--ground);
        stroke-width: 1.5;
        paint-order: stroke;
      }
      /* What called nobody stands back: smaller and grey, its priority left to its shape. */
      .silent {
        color: var(--ink-soft);
      }
      .silent svg {
        width: 15px;
        height: 15px;
      }
      .key .silent svg {
        width: 12px;
        height: 12px;
        margin: 0 3px;
      }
      .silent polygon,
      .silent circle {
        fill: var(--ground);
        stroke: currentColor;
        stroke-width: 3;
      }
      .held.silent {
        stroke-width: 2;
      }
      .days {
        position: relative;
        height: 22px;
        font-size: 0.8125rem;
        color: var(--ink-soft);
      }
      .days span {
        position: absolute;
        left: var(--at);
        padding-left: 4px;
        white-space: nowrap;
      }
      .days .last {
        left: auto;
        right: -12px;
      }
      .key {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 18px;
        font-size: 0.875rem;
        color: var(--ink-soft);
      }
      .key span {
        display: inline-flex;
        align-items: center;
        gap: 6px;
      }
      .key svg {
        width: 18px;
        height: 18px;
        overflow: visible;
      }
    `,
  ]

  override render() {
    const { journal } = this
    if (!journal) return nothing
    const fromMs = Date.parse(journal.from)
    const toMs = Date.parse(journal.to)
    const rows = rowsOf(journal.marks, this.names)
    return html`<figure aria-label="Alarms by vessel">
      <p class="hidden">${timelineWords(journal, id => this.#name(id))}</p>
      ${
        rows.length === 0
          ? html`<p class="soft">No alarm in this time.</p>`
          : html`<div class="rows">
                ${rows.map(({ vesselId, marks }) => this.#row(this.#name(vesselId), marks, fromMs, toMs))}
              </div>
              ${days(fromMs, toMs, this.nowMs)} ${key()}`
      }
    </figure>`
  }

  #row(name: string, marks: readonly Mark[], fromMs: number, toMs: number) {
    const share = (atMs: number) => Math.min(1, Math.max(0, (atMs - fromMs) / (toMs - fromMs)))
    const x = (atMs: number) => (share(atMs) * WIDTH).toFixed(1)
    return html`<div class="row-of">
      <span>${name}</span>
      <div class="thread">
        <svg viewBox="0 0 ${WIDTH} ${ROW}" preserveAspectRatio="none" aria-hidden="true">
          ${marksOfTime(fromMs, toMs).map(
            atMs => svg`<line class="day" x1=${x(atMs)} x2=${x(atMs)} y1="0" y2=${ROW} />`,
          )}
          ${marks.map(
            mark => svg`<line class="held ${mark.priority} ${mark.silent ? 'silent' : ''}" x1=${x(Date.parse(mark.from))}
              x2=${x(mark.to === null ? Math.min(toMs, this.nowMs) : Date.parse(mark.to))} y1=${ROW / 2} y2=${ROW / 2} />`,
          )}
        </svg>
        ${marks.map(
          mark =>
            html`<button
              class="${mark.priority} ${mark.silent ? 'silent' : ''}"
              tabindex="-1"
              aria-hidden="true"
              ${place(share(Date.parse(mark.from)))}
              @click=${() => this.dispatchEvent(new PickAlarmEvent(mark.alarmId))}
            >
              ${sign(mark.priority)}
            </button>`,
        )}
      </div>
    </div>`
  }

  #name(vesselId: string | null): string {
    if (vesselId === null) return 'The whole room'
    return this.names.get(vesselId) ?? 'A vessel that is gone'
  }
}
customElements.define('bw-alarm-week', AlarmWeek)

function sign(priority: Mark['priority']) {
  const { points, size } = SIGN[priority]
  return html`<svg viewBox="-12 -12 24 24" aria-hidden="true">
    ${points === null ? svg`<circle r=${size} />` : svg`<polygon points=${points} />`}
  </svg>`
}

const key = () =>
  html`<div class="key" aria-hidden="true">
    <span class="critical">${sign('critical')} <span class="soft">critical</span></span>
    <span class="high">${sign('high')} <span class="soft">high</span></span>
    <span class="low">${sign('low')} <span class="soft">low</span></span>
    <span class="low silent">${sign('low')} <span class="soft">small, hollow: no call of its own</span></span>
  </div>`

/** The room first, then the vessels by their names. */
function rowsOf(marks: readonly Mark[], names: ReadonlyMap<string, string>) {
  const rows = new Map<string | null, Mark[]>()
  for (const mark of marks) {
    const row = rows.get(mark.vesselId)
    if (row) row.push(mark)
    else rows.set(mark.vesselId, [mark])
  }
  const name = (id: string | null) => (id === null ? '' : (names.get(id) ?? '\uffff'))
  return (
    [...rows]
      // What called is drawn over what nobody was called for.
      .map(([vesselId, marks]) => ({
        vesselId,
        marks: [...marks].sort((a, b) => Number(b.silent) - Number(a.silent)),
      }))
      .sort((a, b) => name(a.vesselId).localeCompare(name(b.vesselId), 'en', { numeric: true }))
  )
}

/** The beginnings of the person's own days within a span; of a short one, every six hours of them. */
function marksOfTime(fromMs: number, toMs: number): number[] {
  const hours = toMs - fromMs <= 2 * DAY_MS ? 6 : toMs - fromMs <= 10 * DAY_MS ? 24 : 24 * 5
  const at = new Date(fromMs)
  at.setHours(0, 0, 0, 0)
  const all: number[] = []
  for (; at.getTime() < toMs; at.setHours(at.getHours() + hours))
    if (at.getTime() > fromMs) all.push(at.getTime())
  return all
}

/** From here on a name has no room to its right. */
const LAST_SHARE = 0.93

function days(fromMs: number, toMs: number, nowMs: number) {
  const far = nowMs - fromMs > 8 * DAY_MS
  const short = toMs - fromMs <= 2 * DAY_MS
  return html`<div class="days" aria-hidden="true">
    ${marksOfTime(fromMs, toMs).map(atMs => {
      const share = (atMs - fromMs) / (toMs - fromMs)
      const name = short ? hourTime(atMs, zone) : dayName(atMs, zone, far)
      // A name that would run out of the picture is left out; a weekday, which is short, ends with it.
      if (share > LAST_SHARE) return short || far ? nothing : html`<span class="last">${name}</span>`
      return html`<span ${place(share)}>${name}</span>`
    })}
  </div>`
}
