import { css, html, LitElement, nothing } from 'lit'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Readings } from '../../broker/web/api/vessels.ts'
import { harvestCounts, harvestEstimate, type HarvestEstimate } from '../batch/harvest-estimate.ts'
import { batchPath } from '../state/route.ts'
import { Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { pageMargin, paper } from '../style/paper.ts'
import { shared } from '../style/shared.ts'
import { gramsText, litresText } from '../words/amounts.ts'
import { seenText } from '../words/seen.ts'
import { shortTemperature } from '../words/temperature.ts'
import { clockTime, dayName, duration } from '../words/time.ts'
import { Fetched } from './fetched.ts'
import { harvestResult } from './harvest-words.ts'
import './own-recipes.ts'
import { waterCurve } from './sheet-curve.ts'

/** A batch on one sheet of paper: what went in, its water, all that was seen and done, what it gave. */
export class Sheet extends LitElement {
  static override properties = { batchId: { attribute: false }, result: { state: true } }
  declare batchId: string
  declare result: HarvestEstimate | null
  readonly #path = (rest = '') =>
    this.batchId === '' ? null : `/batches/${encodeURIComponent(this.batchId)}${rest}`
  readonly #batch = new Fetched<Batch>(this, () => this.#path())
  readonly #log = new Fetched<{ events: BatchEvent[] }>(this, () => this.#path('/events'))
  readonly #readings = new Fetched<Readings>(this, () => this.#path('/readings?points=200'))
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #unit = new Watch(this, from => from.state.settings?.temperatureUnit ?? 'C')
  #resultOf = ''
  #offMargin = (): void => undefined

  constructor() {
    super()
    this.batchId = ''
    this.result = null
  }

  static override styles = [
    shared,
    paper,
    css`
      .sheet {
        max-width: 46rem;
        gap: 18px;
      }
      dl {
        display: grid;
        grid-template-columns: auto 1fr;
        gap: 4px 20px;
      }
      dt {
        color: var(--ink-soft);
      }
      dd {
        font-weight: 600;
        overflow-wrap: anywhere;
      }
      table {
        width: 100%;
        border-collapse: collapse;
        font-size: 0.9375rem;
      }
      td {
        padding: 5px 12px 5px 0;
        border-top: 1px solid var(--line);
        vertical-align: top;
        overflow-wrap: anywhere;
      }
      td:first-child {
        white-space: nowrap;
        font-variant-numeric: tabular-nums;
      }
      svg {
        width: 100%;
        height: auto;
        display: block;
      }
      svg text {
        font-size: 14px;
        fill: var(--ink-soft);
      }
      @media (min-width: 720px) {
        svg text {
          font-size: 9px;
        }
      }
      svg .grid {
        stroke: var(--line);
      }
      svg .water {
        fill: none;
        stroke: var(--brine);
        stroke-width: 2;
      }
      .lines {
        border-top: 1px solid var(--line);
        height: 2.2em;
      }
      @media print {
        .sheet,
        td,
        dd,
        dt {
          font-size: 9.5pt;
        }
        section,
        tr {
          break-inside: avoid;
        }
        svg {
          max-height: 42mm;
        }
        svg text {
          font-size: 9px;
        }
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    this.#offMargin = pageMargin('12mm')
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#offMargin()
  }

  override willUpdate(): void {
    const batch = this.#batch.value
    const counts = harvestCounts(this.#log.value?.events ?? [])
    if (batch && counts && counts.key !== this.#resultOf) void this.#estimate(counts, batch)
  }

  override render() {
    const batch = this.#batch.value
    if (this.#batch.problem !== '')
      return html`<p class="page failed" role="status">${this.#batch.problem}</p>`
    if (!batch) return html`<p class="page soft">Writing the sheet…</p>`
    const name =
      this.#vessels.value.get(batch.vesselId)?.name ?? batch.vesselName ?? 'a vessel without a name'
    const [startMs, endMs] = [
      Date.parse(batch.startedAt),
      batch.endedAt === null ? null : Date.parse(batch.endedAt),
    ]
    return html`<div class="page sheet">
      <h1>Batch in ${name}, ${day(startMs)}</h1>
      <div class="row screen">
        <button @click=${() => print()}>Print, or save as PDF</button>
        <button class="quiet" @click=${this.#copy}>Copy its address</button>
        <a class="button quiet" href=${batchPath(batch.id)}>What went wrong, and replay</a>
      </div>
      <bw-own-recipes
        class="screen"
        keep-only
        .vesselId=${batch.vesselId}
        .amounts=${doseOf(batch)}
      ></bw-own-recipes>
      <dl>
        <dt>Started</dt>
        <dd>${whenText(startMs)}</dd>
        <dt>Ended</dt>
        <dd>${endMs === null ? 'still open' : `${whenText(endMs)}, after ${duration(endMs - startMs)}`}</dd>
        <dt>Water</dt>
        <dd>${litresText(batch.litres)} at ${Number(batch.salinityGpl.toFixed(1))} g/L salt</dd>
        <dt>Cysts</dt>
        <dd>${gramsText(batch.cystsG)}${batch.lot ? ` of ${batch.lot}` : ''}</dd>
        ${
          batch.note
            ? html`<dt>Note</dt>
                <dd>${batch.note}</dd>`
            : nothing
        }
      </dl>
      ${this.#gave()}
      <section>
        <h2>Its water</h2>
        ${waterCurve(this.#readings.value?.channels.water ?? null, {
          temperature: waterC => shortTemperature(waterC, this.#unit.value),
          time: whenText,
        })}
      </section>
      ${this.#seen()}
      <section class="paper">
        <h2>By hand</h2>
        <div class="lines"></div>
        <div class="lines"></div>
        <div class="lines"></div>
      </section>
    </div>`
  }

  #gave() {
    if (!this.result) return nothing
    const { nauplii, lines } = harvestResult(this.result, null)
    return html`<section>
      <h2>What it gave: ${nauplii}</h2>
      <p>${lines.join(' ')}</p>
    </section>`
  }

  #seen() {
    const events = (this.#log.value?.events ?? []).filter(({ withdrawnAt }) => withdrawnAt === null)
    return html`<section>
      <h2>What was seen and done</h2>
      ${
        events.length === 0
          ? html`<p class="soft">Nothing was written down.</p>`
          : html`<table>
              <tbody>
                ${events.map(
                  event =>
                    html`<tr>
                      <td>${whenText(Date.parse(event.at))}</td>
                      <td>${seenText(event, this.#unit.value)} <span class="soft">· ${event.by}</span></td>
                    </tr>`,
                )}
              </tbody>
            </table>`
      }
    </section>`
  }

  async #estimate(counts: NonNullable<ReturnType<typeof harvestCounts>>, batch: Batch): Promise<void> {
    this.#resultOf = counts.key
    try {
      this.result = await harvestEstimate(counts, batch)
    } catch {
      // The count stands in the log without it.
      this.result = null
    }
  }

  readonly #copy = (): void => {
    void navigator.clipboard?.writeText(location.href)
  }
}
customElements.define('bw-sheet', Sheet)

const doseOf = ({ litres, cystsG, salinityGpl, goal }: Batch) => ({ litres, cystsG, salinityGpl, goal })
const day = (atMs: number): string => dayName(atMs, zone, true)
const whenText = (atMs: number): string => `${day(atMs)} ${clockTime(atMs, zone)}`
