import { css, html, LitElement, nothing } from 'lit'
import { defineFor } from '../frame/for-role.ts'
import type { Bridge, BridgeCredential } from '../../broker/web/api/topics.ts'
import { fieldText, foot, line, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'

/** Credentials for sensors that are there already, or for another broker: each reaches its topics and nothing else. */
export class Bridges extends LitElement {
  static override properties = { bridges: { state: true }, made: { state: true }, asked: { state: true } }
  declare bridges: readonly Bridge[]
  /** Shown this once. */
  declare made: BridgeCredential | null
  /** It was asked whether to remove this one, and nobody has answered. */
  declare asked: string | null
  readonly #connect = new Watch(this, store => store.state.connect)
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => 'bridge')

  constructor() {
    super()
    this.bridges = []
    this.made = null
    this.asked = null
  }

  static override styles = [
    shared,
    css`
      li {
        padding: 10px 0;
        border-top: 1px solid var(--line);
        display: flex;
        flex-wrap: wrap;
        gap: 8px 16px;
        align-items: center;
        justify-content: space-between;
        overflow-wrap: anywhere;
      }
      ul:not(:empty) {
        margin-bottom: 18px;
      }
      [role='group'] {
        display: grid;
        gap: 10px;
      }
      @media (max-width: 520px) {
        .pair {
          grid-template-columns: 1fr;
        }
      }
      .made {
        padding: 14px 16px;
        background: var(--raised);
        display: grid;
        gap: 6px;
        margin-bottom: 18px;
        overflow-wrap: anywhere;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
  }

  override render() {
    if (this.#connect.value && this.#connect.value.mqttPort === null)
      return html`<p class="soft">
        Your own MQTT broker says who may send. What it hands out is listened to while this page is open.
      </p>`
    return html`
      <ul>
        ${this.bridges.map(
          ({ name, topics }) =>
            html`<li>
              <span><strong>${name}</strong> on ${topics.join(', ')}</span>
              ${
                this.asked === name
                  ? this.#question(name)
                  : html`<button
                      class="quiet"
                      ?disabled=${this.#sending.busy}
                      @click=${() => this.#askRemoval(name)}
                    >
                      Remove…<span class="hidden"> ${name}</span>
                    </button>`
              }
            </li>`,
        )}
      </ul>
      ${this.made ? this.#credential(this.made) : nothing}
      <form novalidate @submit=${this.#submit}>
        <div class="pair">
          ${line('name', 'Name', this.#sending, { hint: 'Also its user name', maxLength: 63 })}
          ${line('topics', 'Topics', this.#sending, { hint: 'Like home/shelf/#, with spaces between several' })}
        </div>
        ${foot(this.#sending, html`<button class="quiet" ?disabled=${this.#sending.busy}>Make credentials</button>`)}
      </form>
    `
  }

  #question(name: string) {
    return html`<div role="group" aria-label="Remove ${name}?">
      <p>${name} is cut off at once, and what it sends is read no more. What it sent is kept.</p>
      <div class="row">
        <button class="really" ?disabled=${this.#sending.busy} @click=${() => void this.#remove(name)}>
          Remove ${name}
        </button>
        <button class="quiet" @click=${() => (this.asked = null)}>Keep it</button>
      </div>
    </div>`
  }

  #askRemoval(name: string): void {
    this.asked = name
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('.really')?.focus())
  }

  #credential({ bridge, password }: BridgeCredential) {
    const port = this.#connect.value?.mqttPort
    return html`<div class="made" role="status">
      <strong>Write this down: it is shown once.</strong>
      <span
        >Server <code>${location.hostname}</code>${port ? html`, port <code>${port}</code>` : nothing}</span
      >
      <span>User name <code>${bridge}</code></span>
      <span>Password <code>${password}</code></span>
    </div>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const topics = fieldText(form, 'topics')
      .split(/[\s,]+/)
      .filter(topic => topic !== '')
    const name = fieldText(form, 'name').trim()
    const through = await this.#sending.send(async () => {
      this.made = await request<BridgeCredential>('POST', '/bridges', { name, topics })
    })
    if (through) {
      this.#draft.drop()
      form.reset()
    }
    await this.#ask()
  }

  async #remove(name: string): Promise<void> {
    await this.#sending.send(() => request('DELETE', `/bridges/${encodeURIComponent(name)}`))
    this.asked = null
    if (this.made?.bridge === name) this.made = null
    await this.#ask()
  }

  async #ask(): Promise<void> {
    const answer = await request<{ bridges: Bridge[] }>('GET', '/bridges').catch(() => null)
    if (answer) this.bridges = answer.bridges
  }
}
defineFor('owner', 'bw-bridges', Bridges)
