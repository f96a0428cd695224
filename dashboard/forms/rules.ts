import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { TRIED_RULES } from '../try-out/ranges.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { HAS_DELAY, ruleSentence, ruleSummary } from '../words/alarm-rule.ts'
import { differenceText } from '../words/temperature.ts'
import { foot, line, list, Sending } from './form.ts'
import { limitWarned } from './limit-warning.ts'
import {
  changedParts,
  fieldName,
  GROUPS,
  hasClear,
  LATER,
  LIMITS,
  limitUnit,
  readSettings,
  sameRule,
  shownOf,
  shownShelveH,
  type Rule,
  type Shown,
} from './rule-fields.ts'

/** When to call: a line for each rule with what it is set to, and behind it the fields, which nobody has to touch. */
export class RulesForm extends LitElement {
  static override properties = {
    settings: { attribute: false },
    usual: { state: true },
    brought: { state: true },
    unsaved: { state: true },
  }
  declare settings: Settings | null
  /** What a new room starts with; `null` while that is not known. */
  declare usual: Settings | null
  /** The rule that was last brought back to the usual. */
  declare brought: Rule | null
  /** The rules of which something is typed and not saved. */
  declare unsaved: readonly (Rule | typeof LATER)[]
  readonly #sending = new Sending(this)
  /** By unit: what was typed in one says something else in the other. */
  readonly #draft = new FormDraft(this, () =>
    this.settings ? `limits.${this.settings.temperatureUnit}` : null,
  )

  constructor() {
    super()
    this.settings = null
    this.usual = null
    this.brought = null
    this.unsaved = []
  }

  static override styles = [
    shared,
    css`
      form {
        max-width: 52rem;
        gap: 24px;
      }
      .group {
        display: grid;
      }
      h3 {
        padding-bottom: 8px;
      }
      .rule {
        border-top: 1px solid var(--line);
      }
      .rule > summary {
        width: auto;
        padding: 10px 0;
        line-height: 1.35;
      }
      .rule > summary .now {
        font-weight: 400;
        color: var(--ink-soft);
      }
      .rule > fieldset {
        padding: 0 0 18px 16px;
        gap: 14px;
      }
      .pair {
        grid-template-columns: repeat(auto-fit, minmax(130px, 1fr));
      }
      .off {
        font-weight: 650;
      }
      .foot {
        display: grid;
        gap: 6px;
      }
      /* Above the ways to the views at the foot of a phone. */
      .foot.open {
        position: sticky;
        bottom: calc(62px + env(safe-area-inset-bottom));
        z-index: 2;
        background: var(--ground);
        border-block: 1px solid var(--line);
        padding: 10px 0;
      }
      .foot.open button {
        min-height: 48px;
        padding: 6px 16px;
        font-size: 1rem;
      }
      @media (min-width: 960px) {
        .foot.open {
          bottom: 0;
        }
      }
      .unsaved {
        color: var(--warm);
        font-weight: 650;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    request<Settings>('GET', '/settings/usual').then(
      usual => {
        this.usual = usual
      },
      () => undefined,
    )
  }

  override render() {
    const { settings } = this
    if (!settings) return nothing
    return html`<form novalidate @submit=${this.#submit} @input=${this.#typed}>
      <p class="soft">Nothing here has to be changed. Open a line to change it.</p>
      ${GROUPS.map(
        ([title, rules]) =>
          html`<div class="group">
            <h3>${title}</h3>
            ${
              // A broker of another age may not know them all.
              rules.filter(rule => rule in settings.rules).map(rule => this.#rule(rule, settings))
            }
          </div>`,
      )}
      <div class="group">
        <h3>Put off</h3>
        ${line('shelveLimitMin', 'An alarm may be put off for at most, hours', this.#sending, {
          value: String(shownShelveH(settings)),
          numeric: true,
          hint: 'A critical one for an hour at most, whatever is written here. ANSI/ISA-18.2 calls it shelved.',
        })}
      </div>
      ${this.#foot()}
    </form>`
  }

  #rule(rule: Rule, settings: Settings) {
    const setting = settings.rules[rule]
    const { enabled, latching = false, leastCostS, priority } = setting
    const { temperatureUnit } = settings
    const [shown, unit] = [shownOf(rule, setting, temperatureUnit), limitUnit(rule, temperatureUnit)]
    const input = (part: keyof Shown, label: string, hint?: string) =>
      line(fieldName(rule, part), label, this.#sending, { value: String(shown[part]), numeric: true, hint })
    const isWrong = (...parts: (keyof Shown)[]) =>
      parts.some(part => this.#sending.fields.has(fieldName(rule, part)))
    const wrongBehind = isWrong('deadband', 'offDelayS', 'reAlarmMin')
    const wrong = wrongBehind || isWrong('limit', 'onDelayS', 'leastCostH')
    return html`<details class="rule" data-rule=${rule} ?open=${wrong}>
      <summary>
        ${ALARM_WORD[rule]}${this.unsaved.includes(rule) ? html`<strong class="unsaved"> (not saved)</strong>` : nothing}<span
          class="now ${enabled ? '' : 'off'}"
          >: ${ruleSummary(rule, settings)}</span
        >
      </summary>
      <fieldset>
        <legend class="hidden">${ALARM_WORD[rule]}</legend>
        <p class="soft">${ruleSentence(rule, settings)}</p>
        <label class="choice"
          ><input type="checkbox" name=${fieldName(rule, 'enabled')} .checked=${enabled} /> Call me for
          this</label
        >
        ${
          rule === 'water-too-hot'
            ? html`<label class="choice"
                ><input
                  type="checkbox"
                  name=${fieldName(rule, 'allowForProbe')}
                  .checked=${setting.allowForProbe ?? true}
                />
                Call earlier by what a calibrated probe may read too little,
                ${differenceText(1, settings.temperatureUnit)} at most</label
              >`
            : nothing
        }
        <div class="pair">
          ${LIMITS[rule] ? input('limit', `Limit, ${unit}`) : nothing}
          ${leastCostS === undefined ? nothing : input('leastCostH', 'Only if it costs, hours')}
          ${HAS_DELAY[rule] ? input('onDelayS', 'Only after, seconds') : nothing}
          ${list(
            fieldName(rule, 'priority'),
            'Priority',
            this.#sending,
            priority,
            (['critical', 'high', 'low'] as const).map(value => ({ value, text: value })),
          )}
        </div>
        ${limitWarned(this.renderRoot, rule, shown.limit, temperatureUnit)}
        <details ?open=${wrongBehind}>
          <summary>
            More<span class="hidden">: when ${ALARM_WORD[rule]} is over, and is called again</span>
          </summary>
          <div class="pair">
            ${hasClear(rule) ? input('deadband', `Over once this far back, ${unit}`) : nothing}
            ${HAS_DELAY[rule] ? input('offDelayS', 'And for so long, seconds') : nothing}
            ${input('reAlarmMin', 'Call again after, minutes', 'While it holds though somebody has seen it; 0 is never. A low one never does.')}
          </div>
          <label class="choice"
            ><input type="checkbox" name=${fieldName(rule, 'latching')} .checked=${latching} /> When it is
            over, keep it up until somebody resets it</label
          >
        </details>
        ${TRIED_RULES.includes(rule) ? html`<p><a href="/try-out?rule=${rule}">Try it out on past batches</a></p>` : nothing}
        ${this.#backToUsual(rule, settings)}
      </fieldset>
    </details>`
  }

  /** The form's end. What was typed outlives this page: it is said what of it does not count yet, and the button stays in reach. */
  #foot() {
    const { unsaved } = this
    const names = unsaved.map(part =>
      part === LATER ? 'For how long an alarm may be put off' : ALARM_WORD[part],
    )
    return html`<div class="foot ${unsaved.length === 0 ? '' : 'open'}">
      <p role="status" class="unsaved">
        ${unsaved.length === 0 ? nothing : `Typed, not saved: ${names.join('; ')}.`}
      </p>
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>Save the limits</button> ${
            unsaved.length === 0
              ? nothing
              : html`<button type="button" class="quiet" @click=${this.#forget}>Put back</button>`
          }`,
      )}
    </div>`
  }

  readonly #typed = (): void => {
    this.#sending.changed()
    const form = this.renderRoot.querySelector('form')
    const { settings } = this
    if (form && settings) this.unsaved = changedParts(form, settings)
    this.requestUpdate()
  }

  readonly #forget = (): void => {
    const { settings } = this
    if (!settings) return
    this.#draft.drop()
    for (const part of this.unsaved) {
      const later = this.renderRoot.querySelector<HTMLInputElement>(`[name="${LATER}"]`)
      if (part !== LATER) this.#show(part, settings)
      else if (later) later.value = String(shownShelveH(settings))
    }
    this.unsaved = []
    this.#sending.refuse(new Map())
    this.renderRoot.querySelector('summary')?.focus()
  }

  #backToUsual(rule: Rule, settings: Settings) {
    const { usual } = this
    if (!usual || !(rule in usual.rules)) return nothing
    if (sameRule(usual.rules[rule], settings.rules[rule]))
      return html`<p class="soft" role="status">
        ${this.brought === rule ? 'Back to the usual.' : 'This is the usual.'}
      </p>`
    const own = { ...usual, temperatureUnit: settings.temperatureUnit }
    return html`<p class="soft">The usual is: ${ruleSummary(rule, own)}.</p>
      <div class="row">
        <button
          type="button"
          class="quiet"
          aria-label="Back to the usual: ${ALARM_WORD[rule]}"
          ?disabled=${this.#sending.busy}
          @click=${() => this.#bringBack(rule, settings, usual)}
        >
          Back to the usual
        </button>
      </div>`
  }

  async #bringBack(rule: Rule, settings: Settings, usual: Settings): Promise<void> {
    const setting = usual.rules[rule]
    const rules = { ...settings.rules, [rule]: setting }
    if (!(await this.#sending.send(() => request('PUT', '/settings', { ...settings, rules })))) return
    this.brought = rule
    // What was typed and not saved goes too: a field whose kept value did not change would keep it.
    this.#show(rule, { ...settings, rules })
    this.#draft.dropFields(name => name.startsWith(fieldName(rule, '')))
    this.unsaved = this.unsaved.filter(each => each !== rule)
    // The button that was pressed goes away with what it did.
    this.renderRoot.querySelector<HTMLElement>(`[data-rule="${rule}"] summary`)?.focus()
  }

  /** Puts what is kept into a rule's fields, whatever was typed there. */
  #show(rule: Rule, settings: Settings): void {
    const setting = settings.rules[rule]
    const shown = shownOf(rule, setting, settings.temperatureUnit)
    const details = this.renderRoot.querySelector<HTMLElement>(`[data-rule="${rule}"]`)
    for (const [part, value] of Object.entries(shown)) {
      const input = details?.querySelector<HTMLInputElement>(
        `[name="${fieldName(rule, part as keyof Shown)}"]`,
      )
      if (input) input.value = String(value)
    }
    const select = details?.querySelector('select')
    if (select) select.value = setting.priority
    for (const [part, checked] of [
      ['enabled', setting.enabled],
      ['latching', setting.latching ?? false],
      ['allowForProbe', setting.allowForProbe ?? true],
    ] as const) {
      const box = details?.querySelector<HTMLInputElement>(`[name="${fieldName(rule, part)}"]`)
      if (box) box.checked = checked
    }
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { settings } = this
    if (!settings) return
    const read = readSettings(event.currentTarget as HTMLFormElement, settings)
    if (read.wrong.size > 0) return this.#sending.refuse(read.wrong)
    if (!(await this.#sending.send(() => request('PUT', '/settings', read.settings)))) return
    this.#draft.drop()
    this.unsaved = []
  }
}
defineFor('owner', 'bw-rules', RulesForm)
