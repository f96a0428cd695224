import { css, html, LitElement, nothing } from 'lit'
import '../alarm/sound-choice.ts'
import { problem, Sending } from '../forms/form.ts'
import '../forms/altitude.ts'
import '../forms/calibration-due.ts'
import '../forms/new-vessel.ts'
import '../forms/rules.ts'
import { request } from '../state/api.ts'
import { forWhom, may, whoAmI } from '../state/me.ts'
import { setTheme, theme, type Theme } from '../state/preferences.ts'
import { store } from '../state/store.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { cautions } from './cautions.ts'

const THEME_WORDS: Record<Theme, string> = { auto: 'As this device is set', dark: 'Dark', light: 'Light' }

/** How the room is watched, and how this screen shows it. */
export class SettingsView extends LitElement {
  static override properties = { signedIn: { state: true } }
  declare signedIn: boolean
  readonly #settings = new Watch(this, from => from.state.settings)
  readonly #sending = new Sending(this)
  readonly #leaving = new Sending(this)

  constructor() {
    super()
    this.signedIn = false
  }

  static override styles = [
    shared,
    css`
      section[hidden] {
        display: none;
      }
      .row button[aria-pressed] {
        min-width: 76px;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    // Whoever watches vessels does not wait for it.
    void import('../push/call-me.ts').catch(() => undefined)
    void import('../notify/who-is-called.ts').catch(() => undefined)
    void import('../access/people-in.ts').catch(() => undefined)
    request<{ signInNeeded: boolean }>('GET', '/session').then(
      ({ signInNeeded }) => {
        this.signedIn = signInNeeded
      },
      () => undefined,
    )
  }

  override render() {
    const settings = this.#settings.value
    if (!settings) return nothing
    return html`<div class="page">
      <h1>Settings</h1>
      <section>
        <h2>Temperatures</h2>
        <p class="soft">Both are always shown; this one comes first and is what you type.</p>
        <div class="row" role="group" aria-label="Unit of temperature">
          ${(['C', 'F'] as const).map(
            unit =>
              html`<button
                class="quiet"
                aria-pressed=${settings.temperatureUnit === unit}
                ?disabled=${this.#sending.busy || !may('owner')}
                @click=${() => this.#sending.send(() => request('PUT', '/settings', { ...settings, temperatureUnit: unit }))}
              >
                °${unit}
              </button>`,
          )}
        </div>
        ${may('owner') ? nothing : html`<p class="soft">${forWhom('owner')}</p>`} ${problem(this.#sending)}
      </section>
      <section>
        <h2>This screen</h2>
        <div class="row" role="group" aria-label="Look of this screen">
          ${(Object.keys(THEME_WORDS) as Theme[]).map(
            each =>
              html`<button class="quiet" aria-pressed=${theme() === each} @click=${() => this.#look(each)}>
                ${THEME_WORDS[each]}
              </button>`,
          )}
        </div>
      </section>
      <section id="sound">
        <h2>Sound on this screen</h2>
        <bw-sound-choice></bw-sound-choice>
      </section>
      <section ?hidden=${!may('owner')}>
        <h2>When to call</h2>
        <bw-rules .settings=${settings}></bw-rules>
      </section>
      <section id="people" ?hidden=${!may('owner')}>
        <h2>Who is called</h2>
        <bw-who-is-called></bw-who-is-called>
      </section>
      ${
        this.signedIn
          ? html`<section id="sign-in">
              <h2>${may('owner') ? 'Who may sign in' : 'Who you are here'}</h2>
              <p class="soft">You are signed in as ${asWhom()}.</p>
              ${may('owner') ? html`<bw-who-is-in></bw-who-is-in>` : html`<p>When and who is called, probes, vessels and who may sign in are the owner’s to change.</p>`}
            </section>`
          : nothing
      }
      <section id="phone">
        <h2>Call me on this phone</h2>
        <bw-call-me></bw-call-me>
      </section>
      <section id="calibration" ?hidden=${!may('owner')}>
        <h2>Probes</h2>
        <p class="soft">
          A probe that was held against a reference is due again some time later. Calibrate one under
          <a href="/devices">Devices</a>.
        </p>
        <bw-calibration-due .settings=${settings}></bw-calibration-due>
      </section>
      <section ?hidden=${!may('owner')}>
        <h2>Where the room is</h2>
        <p class="soft">Water high up holds less oxygen, so a vessel lasts less long without air.</p>
        <bw-altitude .settings=${settings}></bw-altitude>
      </section>
      <section id="vessels" ?hidden=${!may('owner')}>
        <h2>Add a vessel</h2>
        <bw-new-vessel></bw-new-vessel>
      </section>
      <section>${cautions()}</section>
      ${
        this.signedIn
          ? html`<section aria-label="Sign out">
              ${problem(this.#leaving)}
              <div class="row">
                <button
                  class="quiet"
                  ?disabled=${this.#leaving.busy}
                  @click=${() => this.#leaving.send(() => store.signOut())}
                >
                  Sign out
                </button>
              </div>
            </section>`
          : nothing
      }
    </div>`
  }

  #look(chosen: Theme): void {
    setTheme(chosen)
    dispatchEvent(new CustomEvent('bw-theme'))
    this.requestUpdate()
  }
}
function asWhom(): string {
  const { name, role } = whoAmI()
  return name === null ? 'the owner' : `${name}, ${role}`
}

customElements.define('bw-settings', SettingsView)
