import { html, nothing } from 'lit'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { readNumber } from '../forms/form.ts'
import { keptNumber, Kind, shownNumber } from '../forms/kept-number.ts'
import { LIMITS, limitUnit, type Rule } from '../forms/rule-fields.ts'
import { HAS_DELAY } from '../words/alarm-rule.ts'
import { duration } from '../words/time.ts'
import { refusedNumber } from '../words/try-out.ts'
import { DELAYS_S, LIMIT_RANGE, nearestDelay } from './ranges.ts'

type Setting = Settings['rules'][Rule]

/** A limit or a delay that is typed may be anything that the broker takes. */
const LONGEST_S = 86_400

/** What was typed and cannot be tried. */
export interface Refused {
  readonly of: 'limit' | 'delay'
  readonly says: string
}

/** What a knob that is turned does, and what was refused of the last that was typed. */
export interface Turned {
  readonly refused: Refused | null
  readonly move: (change: Partial<Setting>) => void
  readonly refuse: (refused: Refused) => void
}

/** The limit of a rule, to slide and to type, in the person's unit. */
export function limitKnob(rule: Rule, then: Setting, { temperatureUnit: unit }: Settings, turned: Turned) {
  const range = LIMIT_RANGE[rule]
  const bounds = LIMITS[rule]
  if (!range || !bounds) return nothing
  const kind = bounds.unit === '°' ? Kind.temperature : Kind.plain
  const shown = (kept: number) => shownNumber(kept, kind, unit)
  const [least, most] = [shown(bounds.least), shown(bounds.most)]
  const set = typed('limit', least, most, limitUnit(rule, unit), turned, value =>
    turned.move({ limit: keptNumber(value, then.limit, kind, unit) }),
  )
  return html`<div class="knob">
    <label for="limit">Limit, ${limitUnit(rule, unit)}</label>
    <input
      id="limit"
      type="range"
      min=${shown(Math.min(range.least, then.limit))}
      max=${shown(Math.max(range.most, then.limit))}
      step=${kind === Kind.temperature ? 0.1 : range.step}
      .value=${String(shown(then.limit))}
      @input=${set}
    />
    <input
      type="text"
      inputmode="decimal"
      aria-label="Limit, ${limitUnit(rule, unit)}, as a number"
      .value=${String(Number(shown(then.limit).toFixed(2)))}
      @change=${set}
      aria-invalid=${turned.refused?.of === 'limit'}
    />
    ${refusal('limit', turned)}
  </div>`
}

/** How long it must be so before it calls; nothing for the rules whose limit is a length of time itself. */
export function delayKnob(rule: Rule, then: Setting, turned: Turned) {
  if (!HAS_DELAY[rule]) return nothing
  const slide = (event: Event) =>
    turned.move({ onDelayS: DELAYS_S[Number((event.target as HTMLInputElement).value)] ?? then.onDelayS })
  const type = typed('delay', 0, LONGEST_S, 'seconds', turned, value => turned.move({ onDelayS: value }))
  const words = then.onDelayS === 0 ? 'at once' : `after ${duration(then.onDelayS * 1000)}`
  return html`<div class="knob">
    <label for="delay">Only after, seconds</label>
    <input
      id="delay"
      type="range"
      min="0"
      max=${DELAYS_S.length - 1}
      step="1"
      aria-valuetext=${words}
      .value=${String(nearestDelay(then.onDelayS))}
      @input=${slide}
    />
    <input
      type="text"
      inputmode="decimal"
      aria-label="Only after, seconds, as a number"
      .value=${String(then.onDelayS)}
      @change=${type}
      aria-invalid=${turned.refused?.of === 'delay'}
    />
    ${refusal('delay', turned)}
    <span class="hint">Calls ${words}.</span>
  </div>`
}

/** A number that was typed or slid to; one that the broker would refuse is refused here, and stays to be mended. */
function typed(
  of: Refused['of'],
  least: number,
  most: number,
  unit: string,
  { refuse }: Turned,
  take: (value: number) => void,
) {
  return (event: Event): void => {
    const { value } = event.target as HTMLInputElement
    const number = readNumber(value)
    if (number !== null && number >= least && number <= most) return take(number)
    refuse({ of, says: refusedNumber(of, value, least, most, unit) })
  }
}

function refusal(of: Refused['of'], { refused }: Turned) {
  return refused?.of === of ? html`<p class="failed refusal" role="alert">${refused.says}</p>` : nothing
}
