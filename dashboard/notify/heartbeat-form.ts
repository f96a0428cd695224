import { css, html, LitElement, nothing } from 'lit'
import type { Heartbeat } from '../../broker/web/api/heartbeat.ts'
import { fieldText, foot, line, list, problem, readNumber, Sending } from '../forms/form.ts'
import { ApiError, request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { heartbeatWords } from '../words/heartbeat.ts'
import { notifyStyle } from './style.ts'

const PATH = '/notify/heartbeat'
/** How it stands is asked so often while the form is in sight, ms: the first call comes within a minute. */
const ASK_EVERY_MS = 5000
const USUAL = { url: '', method: 'GET', everyMinutes: 5, tellTrouble: false } as const

/** Whom this machine tells that it is well, so that somebody notices when it dies; with a try, and how it stands. */
export class HeartbeatForm extends LitElement {
  static override properties = { now: { state: true }, lost: { state: true }, result: { state: true } }
  declare now: Heartbeat | null
  declare lost: boolean
  declare result: { arrived: boolean; words: string } | null
  readonly #sending = new Sending(this)
  readonly #trying = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.now ? 'watcher' : null))
  #again: ReturnType<typeof setInterval> | undefined
  static override styles = [
    shared,
    notifyStyle,
    css`
      :host {
        display: grid;
        gap: 16px;
        margin-bottom: 20px;
      }
    `,
  ]

  constructor() {
    super()
    this.now = null
    this.lost = false
    this.result = null
  }

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
    this.#again = setInterval(() => {
      // What is not looked at need not be asked for.
      if (this.checkVisibility() && !this.#sending.busy && !this.#trying.busy) void this.#ask()
    }, ASK_EVERY_MS)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearInterval(this.#again)
  }

  override render() {
    const { now } = this
    if (this.lost)
      return html`<p class="failed" role="alert">This could not be looked up.</p>
        <div class="row"><button class="quiet" @click=${() => void this.#ask()}>Try again</button></div>`
    if (!now) return html`<p class="soft">Looking it up…</p>`
    const { settings } = now
    const { url, method, everyMinutes, tellTrouble } = settings ?? USUAL
    const { good, words } = heartbeatWords(now, store.clock.nowMs(), zone)
    return html`<p class="soft">
        A machine that is dead calls nobody. So a watcher outside, on another machine or a web service of your
        choice, is called every few minutes while all is well here, and alerts you when these calls stop.
      </p>
      <p class=${good === null ? '' : good ? 'arrived' : 'not'}>${words}</p>
      <form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
        ${line('settings.url', 'Address of the watcher', this.#sending, {
          value: url,
          hint: 'As the watcher gives it to you. Empty: nobody is called.',
          maxLength: 2000,
        })}
        <div class="pair">
          ${line('settings.everyMinutes', 'Every so many minutes', this.#sending, {
            value: String(everyMinutes),
            numeric: true,
            hint: 'The watcher should wait about twice as long before it alerts you.',
          })}
          ${list('settings.method', 'How it is called', this.#sending, method, [
            { value: 'GET', text: 'GET' },
            { value: 'POST', text: 'POST, with how it is' },
          ])}
        </div>
        <label class="choice"
          ><input type="checkbox" name="tellTrouble" .checked=${tellTrouble} /> Call the address with /fail
          behind it as soon as something is wrong here</label
        >
        ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Save the watcher</button>`)}
      </form>
      ${
        settings === null
          ? nothing
          : html`${problem(this.#trying)}
              <div class="row">
                <button type="button" class="quiet small" ?disabled=${this.#trying.busy} @click=${this.#try}>
                  Try it now<span class="hidden">: call the watcher</span>
                </button>
                <span
                  role="status"
                  class=${this.result === null ? '' : this.result.arrived ? 'arrived' : 'not'}
                  >${this.#trying.busy ? 'Calling…' : (this.result?.words ?? nothing)}</span
                >
              </div>`
      }`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const url = fieldText(form, 'settings.url').trim()
    const everyMinutes = readNumber(fieldText(form, 'settings.everyMinutes'))
    if (url !== '' && (everyMinutes === null || !Number.isInteger(everyMinutes)))
      return this.#sending.refuse(new Map([['settings.everyMinutes', 'Write a whole number.']]))
    const settings =
      url === ''
        ? null
        : {
            url,
            everyMinutes,
            method: fieldText(form, 'settings.method'),
            tellTrouble: fieldText(form, 'tellTrouble') !== '',
          }
    this.result = null
    const sent = async () => (this.now = await request<Heartbeat>('PUT', PATH, { settings }))
    if (await this.#sending.send(sent)) this.#draft.drop()
  }

  readonly #try = async (): Promise<void> => {
    this.result = null
    await this.#trying.send(async () => (this.result = await request('POST', `${PATH}/try`)))
    await this.#ask()
  }

  async #ask(): Promise<void> {
    try {
      this.now = await request<Heartbeat>('GET', PATH)
      this.lost = false
    } catch (error) {
      if (!(error instanceof ApiError)) throw error
      this.lost = this.now === null
    }
  }
}
customElements.define('bw-heartbeat', HeartbeatForm)
