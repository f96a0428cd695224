import { css, html, LitElement, nothing } from 'lit'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { shared } from '../style/shared.ts'
import { RULE_TITLE, ruleSentence } from '../words/alarm.ts'
import { fieldText, foot, line, list, readNumber, Sending } from './form.ts'
import { keptNumber, Kind, shownNumber } from './kept-number.ts'

type Rule = Alarm['rule']
const RULES = Object.keys(RULE_TITLE) as Rule[]

/** What a rule's limit is measured in, what values make sense, and how far its clear distance may go, in the kept unit. */
const LIMITS: Record<Rule, { unit: string; least: number; most: number; clear: number | null } | null> = {
  'water-heading-hot': { unit: 'minutes ahead', least: 5, most: 360, clear: 360 },
  'water-too-hot': { unit: '°', least: 20, most: 40, clear: 10 },
  'water-too-cool': { unit: '°', least: 5, most: 30, clear: 10 },
  'air-lost': { unit: 'l/min for each litre', least: 0, most: 10, clear: 10 },
  'air-fading': { unit: '% of the settled air', least: 10, most: 95, clear: 50 },
  'light-out': { unit: 'lx', least: 0, most: 100_000, clear: 100_000 },
  'probe-fault': null,
  'probe-out-of-water': null,
  'device-silent': { unit: 'seconds', least: 10, most: 86_400, clear: null },
  'harvest-missed': { unit: 'minutes', least: 0, most: 1440, clear: null },
  'power-lost': { unit: 'seconds', least: 10, most: 86_400, clear: null },
  'disk-full': null,
  'store-slow': { unit: 'seconds', least: 1, most: 600, clear: 600 },
  'clock-jumped': { unit: 'seconds', least: 5, most: 86_400, clear: null },
  'channel-failing': null,
}
/** The longest delay, s: a day, as the broker has it. */
const LONGEST_S = 86_400

const limitKind = (rule: Rule): Kind => (LIMITS[rule]?.unit === '°' ? Kind.temperature : Kind.plain)
const clearKind = (rule: Rule): Kind => (LIMITS[rule]?.unit === '°' ? Kind.difference : Kind.plain)
/** A device that is heard again is heard: its silence has no delays of its own; nor has what a length of time decides already. */
const WITHOUT_DELAYS: readonly Rule[] = ['device-silent', 'harvest-missed', 'power-lost', 'clock-jumped']
const hasDelays = (rule: Rule): boolean => !WITHOUT_DELAYS.includes(rule)
/** How much later a harvest may come before anybody is called, h. */
const MOST_COST_H = 24

/** When to call: each rule's limit in the chosen unit, its delay, its priority, and what that means in a sentence. */
export class RulesForm extends LitElement {
  static override properties = { settings: { attribute: false } }
  declare settings: Settings | null
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.settings = null
  }

  static override styles = [
    shared,
    css`
      form {
        max-width: none;
      }
      fieldset {
        border-top: 2px solid var(--line);
        padding: 16px 0 6px;
      }
      legend {
        padding: 0;
        float: left;
        font-size: 1.125rem;
      }
      legend + * {
        clear: both;
      }
    `,
  ]

  override render() {
    const { settings } = this
    if (!settings) return nothing
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      ${RULES.map(rule => this.#rule(rule, settings))}
      ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Save the limits</button>`)}
    </form>`
  }

  #rule(rule: Rule, settings: Settings) {
    const setting = settings.rules[rule]
    const limit = LIMITS[rule]
    const unit = settings.temperatureUnit
    const input = (name: string, label: string, value: number) =>
      line(`rules.${rule}.${name}`, label, this.#sending, { value: String(value), numeric: true })
    const unitText = limit?.unit === '°' ? `°${unit}` : limit?.unit
    const misfit = ['deadband', 'offDelayS'].some(part => this.#sending.fields.has(`rules.${rule}.${part}`))
    return html`<fieldset>
      <legend>${RULE_TITLE[rule]}</legend>
      <p class="soft">${ruleSentence(rule, settings)}</p>
      <label class="choice"
        ><input type="checkbox" name="rules.${rule}.enabled" .checked=${setting.enabled} /> Call me for
        this</label
      >
      <div class="pair">
        ${limit ? input('limit', `Limit, ${unitText}`, shownNumber(setting.limit, limitKind(rule), unit)) : nothing}
        ${
          setting.leastCostS === undefined
            ? nothing
            : input('leastCostS', 'Only if it costs, hours', setting.leastCostS / 3600)
        }
        ${hasDelays(rule) ? input('onDelayS', 'Only after, seconds', setting.onDelayS) : nothing}
        ${list(
          `rules.${rule}.priority`,
          'Priority',
          this.#sending,
          setting.priority,
          (['critical', 'high', 'low'] as const).map(value => ({ value, text: value })),
        )}
      </div>
      ${
        hasDelays(rule)
          ? html`<details ?open=${misfit}>
              <summary>More<span class="hidden">: when ${RULE_TITLE[rule]} is over</span></summary>
              <div class="pair">
                ${
                  limit && limit.clear !== null
                    ? input(
                        'deadband',
                        `Over once this far back, ${unitText}`,
                        shownNumber(setting.deadband, clearKind(rule), unit),
                      )
                    : nothing
                }
                ${input('offDelayS', 'And for so long, seconds', setting.offDelayS)}
              </div>
            </details>`
          : nothing
      }
    </fieldset>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { settings } = this
    if (!settings) return
    const read = readRules(event.currentTarget as HTMLFormElement, settings)
    if (read.wrong.size > 0) return this.#sending.refuse(read.wrong)
    await this.#sending.send(() => request('PUT', '/settings', { ...settings, rules: read.rules }))
  }
}
customElements.define('bw-rules', RulesForm)

function readRules(form: HTMLFormElement, settings: Settings) {
  const wrong = new Map<string, string>()
  const unit = settings.temperatureUnit
  const rules = { ...settings.rules }
  for (const rule of RULES) {
    const before = settings.rules[rule]
    const name = (part: string) => `rules.${rule}.${part}`
    const limits = LIMITS[rule]
    /** The number in a field between two kept numbers, or what was before with words beside the field. */
    const read = (
      part: 'limit' | 'deadband' | 'onDelayS' | 'offDelayS',
      kind: Kind,
      least: number,
      most: number,
    ) => {
      const typed = readNumber(fieldText(form, name(part)))
      const lowest = shownNumber(least, kind, unit)
      const highest = shownNumber(most, kind, unit)
      if (typed !== null && typed >= lowest && typed <= highest)
        return keptNumber(typed, before[part], kind, unit)
      wrong.set(name(part), `Write a number from ${lowest} to ${highest}.`)
      return before[part]
    }
    const limit = limits ? read('limit', limitKind(rule), limits.least, limits.most) : before.limit
    const deadband =
      limits && limits.clear !== null ? read('deadband', clearKind(rule), 0, limits.clear) : before.deadband
    const delays = hasDelays(rule)
      ? {
          onDelayS: read('onDelayS', Kind.plain, 0, LONGEST_S),
          offDelayS: read('offDelayS', Kind.plain, 0, LONGEST_S),
        }
      : {}
    const cost =
      before.leastCostS === undefined ? {} : { leastCostS: readCost(form, name('leastCostS'), wrong) }
    const priority = fieldText(form, name('priority')) as Alarm['priority']
    const enabled = fieldText(form, name('enabled')) !== ''
    rules[rule] = { ...before, ...delays, ...cost, enabled, limit, deadband, priority }
  }
  if (wrong.size === 0 && rules['water-too-cool'].limit >= rules['water-too-hot'].limit)
    wrong.set('rules.water-too-cool.limit', 'This must lie below what is too hot.')
  return { rules, wrong }
}

/** Typed in hours, kept in seconds. */
function readCost(form: HTMLFormElement, name: string, wrong: Map<string, string>): number {
  const hours = readNumber(fieldText(form, name))
  if (hours !== null && hours >= 0 && hours <= MOST_COST_H) return Math.round(hours * 3600)
  wrong.set(name, `Write a number from 0 to ${MOST_COST_H}.`)
  return 0
}
