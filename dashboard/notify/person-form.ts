import { html, LitElement, nothing } from 'lit'
import { repeat } from 'lit/directives/repeat.js'
import type { NotifySettings } from '../../broker/web/api/notify.ts'
import { field, fieldText, foot, line, list, readNumber, Sending } from '../forms/form.ts'
import { ApiError, request } from '../state/api.ts'
import { dropDraft, FormDraft, hasDraft, keepDraft, readDraft } from '../state/draft.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { FROM_WORD, KIND_WORD, mailHint } from '../words/called.ts'
import {
  inForm,
  personDraft,
  withPerson,
  type Address,
  type NewAddress,
  type NewPerson,
  type Person,
} from './draft.ts'
import { notifyStyle } from './style.ts'

/** A day, minutes: as the broker has it. */
const LONGEST_WAIT = 1440
const MOST_ADDRESSES = 10

interface Way {
  /** Names its fields, as long as the form is open and in what is kept of it. */
  readonly key: number
  readonly address: Address | null
}
/** The addresses in what is kept of a form that was not saved: `null` for a new one. */
type KeptWays = readonly { readonly key: number; readonly id: string | null }[]

/** Changes one person, or adds one. Fires `bw-done` when it was saved, or given up. */
export class PersonForm extends LitElement {
  static override properties = {
    settings: { attribute: false },
    person: { attribute: false },
    ways: { state: true },
    limited: { state: true },
    again: { state: true },
  }
  declare settings: NotifySettings | null
  /** `null`: somebody new. */
  declare person: Person | null
  declare ways: readonly Way[]
  declare limited: boolean
  /** It was begun before: what was typed then has been brought back. */
  declare again: boolean
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.settings ? this.#key : null))
  #keys = 0

  constructor() {
    super()
    this.settings = null
    this.person = null
    this.ways = []
    this.limited = false
    this.again = false
  }

  static override styles = [shared, notifyStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    const { person } = this
    this.limited = person !== null && person.hours !== null
    this.again = hasDraft(this.#key)
    this.ways = this.#keptWays() ?? (person?.addresses ?? [null]).map(address => this.#way(address))
    this.#keys = Math.max(this.#keys, ...this.ways.map(({ key }) => key + 1))
  }

  get #key(): string {
    return personDraft(this.person?.id ?? null)
  }

  #keptWays(): readonly Way[] | null {
    const kept = readDraft<KeptWays>(`${this.#key}.ways`, Date.now())
    if (kept === null) return null
    // An address that somebody took out meanwhile does not come back.
    return kept.flatMap(({ key, id }) => {
      const address = this.person?.addresses.find(each => each.id === id) ?? null
      return id !== null && address === null ? [] : [{ key, address }]
    })
  }

  #setWays(ways: readonly Way[]): void {
    this.ways = ways
    const kept: KeptWays = ways.map(({ key, address }) => ({ key, id: address?.id ?? null }))
    keepDraft(`${this.#key}.ways`, kept, Date.now())
    // With nothing typed beside it, it is a form that was begun all the same.
    if (!hasDraft(this.#key)) keepDraft(this.#key, {}, Date.now())
  }

  #way(address: Address | null): Way {
    return { key: this.#keys++, address }
  }

  override render() {
    const { settings, person } = this
    if (!settings) return nothing
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      ${this.again ? html`<p role="status" class="soft">What you had typed and not saved is here again.</p>` : nothing}
      ${line('name', 'Name', this.#sending, { value: person?.name ?? '', maxLength: 80 })}
      ${line('afterMinutes', 'Called after, minutes without an answer', this.#sending, {
        value: String(person?.afterMinutes ?? 0),
        numeric: true,
        hint: '0 is at once. The next in turn might have 10.',
      })}
      <label class="choice"
        ><input
          type="checkbox"
          name="limited"
          .checked=${this.limited}
          @change=${(event: Event) => (this.limited = (event.target as HTMLInputElement).checked)}
        />
        Only at certain hours</label
      >
      ${this.limited ? this.#hours(person) : nothing}
      <h4>By what</h4>
      <div class="ways">
        ${repeat(
          this.ways,
          ({ key }) => key,
          (way, n) => this.#fields(way, n, `addresses.${way.key}`),
        )}
      </div>
      ${
        this.ways.length < MOST_ADDRESSES
          ? html`<div class="row">
              <button
                type="button"
                class="quiet"
                @click=${() => this.#setWays([...this.ways, this.#way(null)])}
              >
                Add an address
              </button>
            </div>`
          : nothing
      }
      ${foot(
        this.#sending,
        html`<button ?disabled=${this.#sending.busy}>
            Save ${person === null ? 'this person' : person.name}
          </button>
          <button type="button" class="quiet" @click=${() => this.#done()}>Leave it</button>`,
      )}
    </form>`
  }

  #hours(person: Person | null) {
    const time = (part: 'from' | 'to', label: string, otherwise: string) =>
      field(
        `hours.${part}`,
        label,
        this.#sending,
        to =>
          html`<input
            id=${to.id}
            name="hours.${part}"
            type="time"
            .value=${person?.hours?.[part] ?? otherwise}
            aria-describedby=${to.describedBy}
            aria-invalid=${to.invalid}
          />`,
      )
    return html`<div class="pair">${time('from', 'From', '07:00')} ${time('to', 'To', '22:00')}</div>
      <p class="soft">By the clock in ${person?.hours?.zone ?? zone.timeZone}.</p>
      <label class="choice"
        ><input type="checkbox" name="criticalAnyHour" .checked=${person?.criticalAnyHour ?? true} /> Critical
        alarms at any hour</label
      >`
  }

  #fields({ key, address }: Way, n: number, at: string) {
    const push = address?.kind === 'push'
    const title = address?.label || `Address ${n + 1}`
    return html`<fieldset class="way">
      <legend>${title}</legend>
      ${
        push
          ? html`<p>A browser that was allowed to notify.</p>`
          : html`${list(
              `${at}.kind`,
              'Kind',
              this.#sending,
              address?.kind ?? 'email',
              (['email', 'webhook'] as const).map(value => ({ value, text: KIND_WORD[value] })),
              () => this.requestUpdate(),
            )}
            ${this.#mailHint(`${at}.kind`, address)}
            ${line(`${at}.address`, 'Address', this.#sending, {
              value: address?.address ?? '',
              maxLength: 2000,
              hint: 'name@example.org, or http://… for a webhook',
            })}`
      }
      <div class="pair">
        ${line(`${at}.label`, 'What you call it', this.#sending, { value: address?.label ?? '', maxLength: 80 })}
        ${list(
          `${at}.fromPriority`,
          'For which alarms',
          this.#sending,
          address?.fromPriority ?? 'low',
          (['low', 'high', 'critical'] as const).map(value => ({ value, text: FROM_WORD[value] })),
        )}
      </div>
      <label class="choice"
        ><input type="checkbox" name="${at}.reminders" .checked=${address?.reminders ?? true} /> Reminders
        too</label
      >
      <div class="row">
        <button
          type="button"
          class="quiet small"
          @click=${() => this.#setWays(this.ways.filter(way => way.key !== key))}
        >
          Take out<span class="hidden"> ${title}</span>
        </button>
      </div>
    </fieldset>`
  }

  /** That an e-mail address calls nobody yet is said while it is typed, and keeps nobody from saving it. */
  #mailHint(name: string, address: Address | null) {
    const chosen = this.renderRoot.querySelector<HTMLSelectElement>(`[name="${name}"]`)?.value
    const hint = this.settings && mailHint(this.settings)
    const isMail = (chosen ?? address?.kind ?? 'email') === 'email'
    return html`<p class="not" role="status" ?hidden=${!hint || !isMail}>${isMail ? hint : nothing}</p>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { settings } = this
    if (!settings) return
    const form = event.currentTarget as HTMLFormElement
    const minutes = readNumber(fieldText(form, 'afterMinutes'))
    if (minutes === null || !Number.isInteger(minutes) || minutes < 0 || minutes > LONGEST_WAIT) {
      const words = `Write a whole number from 0 to ${LONGEST_WAIT}.`
      return this.#sending.refuse(new Map([['afterMinutes', words]]))
    }
    const { sent, at } = withPerson(settings, this.#read(form, minutes))
    const keys = this.ways.map(({ key }) => key)
    const went = await this.#sending.send(async () => {
      try {
        await request('PUT', '/notify', sent)
      } catch (error) {
        if (!(error instanceof ApiError)) throw error
        throw new ApiError(error.status, error.message, inForm(error.fields, at, keys))
      }
    })
    if (went) this.#done()
  }

  #read(form: HTMLFormElement, afterMinutes: number): NewPerson {
    const { person } = this
    const text = (name: string) => fieldText(form, name)
    return {
      ...(person === null ? {} : { id: person.id }),
      name: text('name'),
      afterMinutes,
      hours: this.limited
        ? { from: text('hours.from'), to: text('hours.to'), zone: person?.hours?.zone ?? zone.timeZone }
        : null,
      criticalAnyHour: this.limited ? text('criticalAnyHour') !== '' : true,
      addresses: this.ways.map(({ key, address }): NewAddress => {
        const part = (name: string) => text(`addresses.${key}.${name}`)
        return {
          ...(address === null ? {} : { id: address.id }),
          ...(address?.kind === 'push'
            ? { kind: 'push' }
            : { kind: part('kind') as 'email', address: part('address') }),
          label: part('label'),
          fromPriority: part('fromPriority') as 'low',
          reminders: part('reminders') !== '',
        }
      }),
    }
  }

  /** Saved, or left on purpose: nothing of it is kept. */
  #done(): void {
    this.#draft.drop()
    dropDraft(`${this.#key}.ways`)
    this.dispatchEvent(new CustomEvent('bw-done', { bubbles: true, composed: true }))
  }
}
customElements.define('bw-person', PersonForm)
