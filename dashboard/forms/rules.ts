import { css, html, LitElement, nothing } from 'lit'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { shared } from '../style/shared.ts'
import { RULE_TITLE, ruleSentence } from '../words/alarm.ts'
import { toC, toF, type TemperatureUnit } from '../words/temperature.ts'
import { fieldText, foot, line, list, readNumber, Sending } from './form.ts'

type Rule = Alarm['rule']
const RULES = Object.keys(RULE_TITLE) as Rule[]

/** What a rule's limit is measured in, and what values make sense, in the kept unit. */
const LIMITS: Record<Rule, { unit: string; least: number; most: number } | null> = {
  'water-too-hot': { unit: '°', least: 20, most: 40 },
  'water-too-cool': { unit: '°', least: 5, most: 30 },
  'air-lost': { unit: 'l/min for each litre', least: 0, most: 10 },
  'light-out': { unit: 'lx', least: 0, most: 100_000 },
  'probe-fault': null,
  'device-silent': { unit: 'seconds', least: 10, most: 86_400 },
}

const isTemperature = (rule: Rule): boolean => LIMITS[rule]?.unit === '°'
const shown = (rule: Rule, limit: number, unit: TemperatureUnit): number =>
  Number((isTemperature(rule) && unit === 'F' ? toF(limit) : limit).toFixed(2))

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
    return html`<fieldset>
      <legend>${RULE_TITLE[rule]}</legend>
      <p class="soft">${ruleSentence(rule, settings)}</p>
      <label class="choice"
        ><input type="checkbox" name="rules.${rule}.enabled" .checked=${setting.enabled} /> Call me for
        this</label
      >
      <div class="pair">
        ${limit ? input('limit', `Limit, ${limit.unit === '°' ? `°${unit}` : limit.unit}`, shown(rule, setting.limit, unit)) : nothing}
        ${rule === 'device-silent' ? nothing : input('onDelayS', 'Only after, seconds', setting.onDelayS)}
        ${list(
          `rules.${rule}.priority`,
          'Priority',
          this.#sending,
          setting.priority,
          (['critical', 'high', 'low'] as const).map(value => ({ value, text: value })),
        )}
      </div>
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
    let limit = before.limit
    if (limits) {
      const typed = readNumber(fieldText(form, name('limit')))
      // What was not touched keeps its exact value: °F shows only two digits of it.
      const kept = typed === shown(rule, before.limit, unit)
      if (typed !== null && !kept) limit = isTemperature(rule) && unit === 'F' ? toC(typed) : typed
      const least = shown(rule, limits.least, unit)
      const most = shown(rule, limits.most, unit)
      if (typed === null || typed < least || typed > most)
        wrong.set(name('limit'), `Write a number from ${least} to ${most}.`)
    }
    let onDelayS = before.onDelayS
    if (rule !== 'device-silent') {
      const typed = readNumber(fieldText(form, name('onDelayS')))
      if (typed === null || typed < 0 || typed > 86_400)
        wrong.set(name('onDelayS'), 'Write seconds from 0 to 86400.')
      else onDelayS = typed
    }
    const priority = fieldText(form, name('priority')) as Alarm['priority']
    rules[rule] = { ...before, enabled: fieldText(form, name('enabled')) !== '', limit, onDelayS, priority }
  }
  if (wrong.size === 0 && rules['water-too-cool'].limit >= rules['water-too-hot'].limit)
    wrong.set('rules.water-too-cool.limit', 'This must lie below what is too hot.')
  return { rules, wrong }
}
