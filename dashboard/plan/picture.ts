import { html, LitElement, nothing, svg } from 'lit'
import { momentAt, daysBetween, minutesOf } from '../../broker/plan/local-time.ts'
import type { Plan } from '../../broker/web/api/plan.ts'
import { outline, PICTURE, RIM_Y } from '../vessel/geometry.ts'
import { zone as ownZone } from '../state/zone.ts'
import { dayName, hourTime, moment, type Zone } from '../words/time.ts'
import { pictureStyle } from './picture-style.ts'

const HOUR_MS = 3_600_000
const HOUR_PX = 12
const HEAD = 42
/** The hours that are named within a day, and so much room a day's name needs. */
const NAMED_H = [6, 12, 18] as const
const DAY_PX = 84
const MEALS = 54
const LANE = 58
const DAY_MIN = 24 * 60

interface Bar {
  readonly key: string
  readonly lane: number
  readonly fromMs: number
  readonly ready: { readonly p10: number; readonly p50: number; readonly p90: number }
  readonly harvestMs: number
  readonly freeMs: number
  readonly text: string
  readonly running: boolean
}

/**
 * The plan as a picture: a lane for each vessel, in which every batch opens like its cone until it is ready; above them the feedings,
 * filled as far as they are met, with a strand down to what each is met from. It only repeats what stands beside it in words.
 */
export class PlanPicture extends LitElement {
  static override properties = { plan: { attribute: false }, nowMs: { attribute: false } }
  declare plan: Plan | null
  declare nowMs: number

  constructor() {
    super()
    this.plan = null
    this.nowMs = 0
  }
  static override styles = pictureStyle

  override render() {
    const { plan, nowMs } = this
    if (!plan) return nothing
    const zone: Zone = { locale: ownZone.locale, timeZone: plan.preferences.zone }
    const fromMs = Math.floor((nowMs - 6 * HOUR_MS) / HOUR_MS) * HOUR_MS
    const untilMs = Date.parse(plan.until)
    const x = (atMs: number) => ((atMs - fromMs) / HOUR_MS) * HOUR_PX
    const width = Math.max(x(untilMs) + 20, 300)
    const height = HEAD + MEALS + plan.vessels.length * LANE
    return html`<div class="names" aria-hidden="true">
        <span class="fed">Fed</span>
        ${plan.vessels.map(
          ({ name }) =>
            html`<span class="lane"
              ><svg viewBox="${PICTURE.x} 50 ${PICTURE.width} 220"><path d=${outline(RIM_Y)} /></svg
              >${name}</span
            >`,
        )}
      </div>
      <div
        class="way"
        tabindex="0"
        role="img"
        aria-label="The plan on a line of time. The table below says the same."
      >
        <svg width=${width} height=${height} viewBox="0 0 ${width} ${height}" aria-hidden="true">
          ${this.#nights(plan, fromMs, untilMs, x, height)}
          ${this.#days(plan, fromMs, untilMs, x, height, zone)}
          ${plan.vessels.map(
            (_, i) =>
              svg`<line class="shelf" x1="0" x2=${width} y1=${laneY(i) + LANE - 1} y2=${laneY(i) + LANE - 1} />`,
          )}
          ${this.#strands(plan, x)} ${barsOf(plan).map(bar => this.#bar(bar, x, x(nowMs)))}
          ${this.#meals(plan, x)}
          <line class="now" x1=${x(nowMs)} x2=${x(nowMs)} y1=${HEAD - 4} y2=${height} />
          <text class="now-word" x=${x(nowMs) + 4} y=${HEAD + 8}>now</text>
        </svg>
      </div>
      <p class="on">It goes on to the right, until ${moment(untilMs, nowMs, zone)}.</p>`
  }

  #nights(plan: Plan, fromMs: number, untilMs: number, x: (atMs: number) => number, height: number) {
    const { zone, wake } = plan.preferences
    const awakeMin = (minutesOf(wake.until) - minutesOf(wake.from) + DAY_MIN) % DAY_MIN
    if (awakeMin === 0) return nothing
    return daysBetween(fromMs - 24 * HOUR_MS, untilMs, zone).map(day => {
      const downMs = momentAt(day, minutesOf(wake.from) + awakeMin, zone)
      const upMs = momentAt(day + 24 * HOUR_MS, minutesOf(wake.from), zone)
      const left = Math.max(0, x(downMs))
      return svg`<rect class="night" x=${left} y=${HEAD} width=${Math.max(0, x(upMs) - left)} height=${height - HEAD} />`
    })
  }

  #days(
    plan: Plan,
    fromMs: number,
    untilMs: number,
    x: (atMs: number) => number,
    height: number,
    zone: Zone,
  ) {
    const ownZone = plan.preferences.zone
    return daysBetween(fromMs, untilMs, ownZone).map((day, i, days) => {
      const midnight = momentAt(day, 0, ownZone)
      const noon = momentAt(day, 12 * 60, ownZone)
      // The day that is under way is named at the edge, as far as there is room before the next.
      const next = days[i + 1]
      const nameX = Math.max(x(midnight), 0)
      const room = next === undefined ? DAY_PX : x(momentAt(next, 0, ownZone)) - nameX
      return svg`${
        x(midnight) >= 0
          ? svg`<line class="midnight" x1=${x(midnight)} x2=${x(midnight)} y1="4" y2=${height} />
              <text class="hour" x=${x(midnight) + 4} y="35">${hourTime(midnight, zone)}</text>`
          : nothing
      }
      ${
        room >= DAY_PX
          ? svg`<text class="day" x=${nameX + 6} y="16">${dayName(noon, zone, false)} ${dayName(noon, zone, true)}</text>`
          : nothing
      }
      ${NAMED_H.map(hour => {
        const atX = x(momentAt(day, hour * 60, ownZone))
        return svg`<text class="hour" x=${atX} y="35" text-anchor="middle">${hourTime(momentAt(day, hour * 60, ownZone), zone)}</text>`
      })}`
    })
  }

  #bar(
    { lane, fromMs, ready, harvestMs, freeMs, text, running }: Bar,
    x: (atMs: number) => number,
    nowX: number,
  ) {
    const middle = laneY(lane) + LANE / 2 - 2
    const half = 15
    const left = Math.max(x(fromMs), -20)
    const open = Math.max(Math.min(x(ready.p50), x(harvestMs)), left + 2)
    const end = Math.max(x(harvestMs), open)
    // Words of a batch under way stand after the line of now, not across it.
    const textX = Math.max(left, -4, running ? nowX : -Infinity) + 12
    const shape = `M${left} ${middle - 3} L${open} ${middle - half} H${end} V${middle + half} H${open} L${left} ${middle + 3} Z`
    return svg`<g class=${running ? 'bar running' : 'bar'}>
      <line class="doubt" x1=${x(ready.p10)} x2=${x(ready.p90)} y1=${middle + half + 5} y2=${middle + half + 5} />
      <path class="growing" d=${shape} />
      <rect class="ready" x=${open} y=${middle - half} width=${Math.max(end - open, 4)} height=${half * 2} />
      <rect class="turn" x=${end} y=${middle - half} width=${Math.max(x(freeMs) - end, 0)} height=${half * 2} />
      <circle class="begin" cx=${left} cy=${middle} r="5" />
      ${open - textX < WORDS_PX && running ? nothing : svg`<text class="dose" x=${textX} y=${middle + 5}>${text}</text>`}
    </g>`
  }

  #strands(plan: Plan, x: (atMs: number) => number) {
    const place = new Map(barsOf(plan).map(bar => [bar.key, bar]))
    return plan.meals.flatMap(meal =>
      meal.servings.flatMap(({ sourceId, tight }) => {
        const bar = place.get(sourceId)
        if (!bar) return []
        const toX = x(Date.parse(meal.at))
        const fromX = Math.min(x(bar.harvestMs), toX)
        const fromY = laneY(bar.lane) + LANE / 2 - 17
        const toY = HEAD + MEALS / 2
        return [
          svg`<path class=${tight ? 'strand tight' : 'strand'} d="M${fromX} ${fromY} C${fromX} ${toY + 26} ${toX} ${toY + 40} ${toX} ${toY + 8}" />`,
        ]
      }),
    )
  }

  #meals(plan: Plan, x: (atMs: number) => number) {
    const cy = HEAD + MEALS / 2
    const moments = new Map<string, { wanted: number; lacking: number }>()
    for (const { at, wanted, lacking } of plan.meals) {
      const one = moments.get(at) ?? { wanted: 0, lacking: 0 }
      moments.set(at, { wanted: one.wanted + wanted, lacking: one.lacking + lacking })
    }
    return [...moments].map(([at, { wanted, lacking }]) => {
      const cx = x(Date.parse(at))
      const share = wanted > 0 ? 1 - lacking / wanted : 1
      const r = 8
      const top = cy + r - 2 * r * share
      return svg`<g class=${lacking > 0 ? 'meal lacks' : 'meal'}>
        <circle class="plate" cx=${cx} cy=${cy} r=${r} />
        <clipPath id="meal-${at}"><rect x=${cx - r} y=${top} width=${2 * r} height=${2 * r * share} /></clipPath>
        <circle class="food" cx=${cx} cy=${cy} r=${r} clip-path="url(#meal-${at})" />
        ${lacking > 0 ? svg`<text class="mark" x=${cx} y=${cy - 12} text-anchor="middle">!</text>` : nothing}
      </g>`
    })
  }
}

/** What stands in a batch on its way needs so much room; less, and its shape says it alone. */
const WORDS_PX = 96

const laneY = (lane: number): number => HEAD + MEALS + lane * LANE

function barsOf(plan: Plan): Bar[] {
  const laneOf = new Map(plan.vessels.map(({ id }, i) => [id, i]))
  const turnMs = plan.preferences.turnroundMin * 60_000
  const running = plan.running.map(({ batchId, vesselId, startedAt, readyAt }): Bar => {
    const readyMs = Date.parse(readyAt)
    const harvest = plan.harvests.find(each => each.batchId === batchId)
    const harvestMs = harvest ? Date.parse(harvest.at) : readyMs
    return {
      key: batchId,
      lane: laneOf.get(vesselId) ?? 0,
      fromMs: Date.parse(startedAt),
      ready: { p10: readyMs, p50: readyMs, p90: readyMs },
      harvestMs,
      freeMs: harvestMs + turnMs,
      text: 'in the water',
      running: true,
    }
  })
  const planned = plan.starts.map(({ id, vesselId, at, ready, harvest, free, cystsG }): Bar => ({
    key: id,
    lane: laneOf.get(vesselId) ?? 0,
    fromMs: Date.parse(at),
    ready: { p10: Date.parse(ready.p10), p50: Date.parse(ready.p50), p90: Date.parse(ready.p90) },
    harvestMs: Date.parse(harvest),
    freeMs: Date.parse(free),
    text: `${Number(cystsG.toFixed(2))} g`,
    running: false,
  }))
  return [...running, ...planned]
}
customElements.define('bw-plan-picture', PlanPicture)
