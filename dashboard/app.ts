import { css, html, LitElement, nothing } from 'lit'
import './alarm/bar.ts'
import { sound, SoundState } from './alarm/sound.ts'
import { Link } from './state/room-state.ts'
import { Router } from './state/route.ts'
import { setTheme } from './state/preferences.ts'
import { Tick, Watch } from './state/watch.ts'
import { store } from './state/store.ts'
import { shared } from './style/shared.ts'
import './views/devices.ts'
import './views/new-device.ts'
import './views/room.ts'
import './views/settings.ts'
import './views/sign-in.ts'
import './views/vessel.ts'
import { duration } from './words/time.ts'

const SOUND_WORDS: Record<SoundState, string> = {
  off: 'Turn sound on',
  waiting: 'Tap for sound',
  on: 'Sound is on',
}

/** The frame around every view: where to go, whether it will sound, what stands in alarm, whether it is live. */
export class App extends LitElement {
  readonly #router = new Router(this)
  readonly #link = new Watch(this, from => from.link)
  readonly #ready = new Watch(this, from => from.state.settings !== null)
  constructor() {
    super()
    // The age in the banner goes on counting.
    new Tick(this, 1_000)
  }

  static override styles = [
    shared,
    css`
      :host {
        display: flex;
        flex-direction: column;
        min-height: 100vh;
        min-height: 100dvh;
      }
      .top {
        position: sticky;
        top: 0;
        z-index: 5;
        background: var(--ground);
      }
      .line {
        display: flex;
        align-items: center;
        gap: 8px;
        padding: 6px 10px 6px 16px;
      }
      .name {
        font-weight: 800;
        font-size: 1.125rem;
        letter-spacing: -0.01em;
        text-decoration: none;
        margin-right: auto;
        min-height: 48px;
        display: flex;
        align-items: center;
        gap: 8px;
      }
      .name svg {
        color: var(--brine);
      }
      .line button {
        min-height: 48px;
        padding: 6px 14px;
        font-size: 1rem;
      }
      .sound {
        border-color: var(--line-strong);
      }
      .sound.off,
      .sound.waiting {
        background: transparent;
        color: var(--ink);
        border-style: dashed;
        border-color: var(--ink-soft);
      }
      .sound {
        white-space: nowrap;
      }
      .sound svg {
        flex: none;
      }
      @media (max-width: 430px) {
        .line button.theme {
          display: none;
        }
        .line {
          padding: 6px 12px;
        }
        .name {
          gap: 6px;
          font-size: 1rem;
        }
        .line button {
          padding: 6px 12px;
          gap: 6px;
          font-size: 0.9375rem;
        }
      }
      .line button.theme {
        padding: 0;
        border-color: transparent;
        background: transparent;
        color: var(--ink);
      }
      nav {
        display: flex;
      }
      nav a {
        flex: 1;
        min-height: 56px;
        display: grid;
        place-items: center;
        text-decoration: none;
        font-weight: 650;
        padding: 0 18px;
        border-top: 4px solid transparent;
      }
      nav a[aria-current='page'] {
        border-top-color: var(--nauplii);
      }
      main {
        flex: 1;
      }
      .lost {
        padding: 12px 16px;
        font-weight: 650;
        background: var(--ink);
        color: var(--ground);
        display: flex;
        gap: 10px;
        align-items: center;
      }
      .lost::before {
        content: '';
        width: 14px;
        height: 14px;
        border: 3px solid currentColor;
        border-radius: 50%;
        flex: none;
        border-right-color: transparent;
      }
      .opening {
        padding: 30vh 16px;
        text-align: center;
      }
      .skip {
        position: absolute;
        left: 8px;
        top: -100px;
        z-index: 9;
      }
      .skip:focus {
        top: 8px;
      }
      @media (max-width: 719px) {
        nav {
          position: sticky;
          bottom: 0;
          z-index: 5;
          order: 9;
          background: var(--ground);
          border-top: 2px solid var(--line);
          padding-bottom: env(safe-area-inset-bottom);
        }
      }
      @media (min-width: 720px) {
        .line {
          padding: 8px 24px;
        }
        nav {
          position: absolute;
          z-index: 6;
          top: 4px;
          left: 190px;
        }
        nav a {
          border-top: 0;
          border-bottom: 4px solid transparent;
        }
        nav a[aria-current='page'] {
          border-bottom-color: var(--nauplii);
        }
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    sound.onState = () => this.requestUpdate()
    addEventListener('pointerdown', this.#wake, { capture: true })
    addEventListener('keydown', this.#wake, { capture: true })
  }
  override updated(): void {
    const top = this.renderRoot.querySelector('.top')
    if (top) this.#bar.observe(top)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#bar.disconnect()
    removeEventListener('pointerdown', this.#wake, { capture: true })
    removeEventListener('keydown', this.#wake, { capture: true })
  }
  /** How high the bar on top stands changes with the alarms in it. */
  readonly #bar = new ResizeObserver(() => {
    const height = this.renderRoot.querySelector('.top')?.clientHeight ?? 0
    document.documentElement.style.setProperty('--top-bar', `${Math.min(height, innerHeight * 0.6)}px`)
  })
  readonly #wake = (): void => {
    if (sound.state === SoundState.waiting) void sound.wake()
  }

  override render() {
    const link = this.#link.value
    if (link === Link.signIn) return html`<main><bw-sign-in></bw-sign-in></main>`
    return html`
      <header class="top">
        <button class="skip" @click=${this.#skip}>To the vessels</button>
        <div class="line">
          <a class="name" href="/" aria-label="brinewatch: the room">
            <svg viewBox="0 0 24 24" width="26" height="26" aria-hidden="true">
              <path d="M4 2h16v8c0 4-5 6-6.500 9v3h-3v-3C9 16 4 14 4 10z" fill="currentColor" />
            </svg>
            brinewatch
          </a>
          ${this.#soundButton()} ${this.#themeButton()}
        </div>
        ${
          link === Link.lost
            ? html`<div class="lost" role="status">
                <span
                  >No connection. What you see is ${duration(store.clock.sinceHeardMs())} old. Trying
                  again.</span
                >
              </div>`
            : nothing
        }
        <bw-alarms></bw-alarms>
      </header>
      ${this.#nav()}
      <main id="main" tabindex="-1">
        ${this.#ready.value ? this.#view() : html`<p class="opening soft">Looking for the broker…</p>`}
      </main>
    `
  }

  #view() {
    const route = this.#router.route
    switch (route.view) {
      case 'room':
        return html`<bw-new-device></bw-new-device><bw-room></bw-room>`
      case 'vessel':
        return html`<bw-vessel-page .vesselId=${route.vesselId}></bw-vessel-page>`
      case 'devices':
        return html`<bw-devices></bw-devices>`
      case 'settings':
        return html`<bw-settings></bw-settings>`
      case 'nowhere':
        return html`<p class="opening">There is no such page. <a href="/">Go to the room</a></p>`
    }
  }

  #nav() {
    const view = this.#router.route.view
    const link = (path: string, name: string, current: boolean) =>
      html`<a href=${path} aria-current=${current ? 'page' : nothing}>${name}</a>`
    return html`<nav aria-label="Views">
      ${link('/', 'Room', view === 'room' || view === 'vessel')}
      ${link('/devices', 'Devices', view === 'devices')} ${link('/settings', 'Settings', view === 'settings')}
    </nav>`
  }

  #soundButton() {
    const state = sound.state
    return html`<button
      class="sound ${state}"
      aria-pressed=${state === SoundState.on}
      @click=${() => void sound.turn(state !== SoundState.on)}
    >
      <svg
        viewBox="0 0 24 24"
        width="22"
        height="22"
        fill="none"
        stroke="currentColor"
        stroke-width="2.4"
        stroke-linecap="round"
        stroke-linejoin="round"
        aria-hidden="true"
      >
        <path d="M4 9.500v5h3.500l5 4v-13l-5 4z" fill="currentColor" />
        <path
          d=${state === SoundState.on ? 'M16 9a4 4 0 0 1 0 6M18.500 6a8 8 0 0 1 0 12' : 'M16.500 9.500l5 5m0-5l-5 5'}
        />
      </svg>
      ${SOUND_WORDS[state]}
    </button>`
  }

  #themeButton() {
    const dark = matchMedia('(prefers-color-scheme: dark)').matches
    const chosen = document.documentElement.dataset['theme']
    const isDark = chosen === undefined ? dark : chosen === 'dark'
    return html`<button
      class="theme"
      aria-label=${isDark ? 'Use the light look' : 'Use the dark look'}
      @click=${() => this.#turnTheme(isDark)}
    >
      <svg viewBox="0 0 24 24" width="24" height="24" fill="currentColor" aria-hidden="true">
        <path d="M12 3a9 9 0 1 0 0 18z" />
        <circle cx="12" cy="12" r="9" fill="none" stroke="currentColor" stroke-width="2.2" />
      </svg>
    </button>`
  }

  #turnTheme(isDark: boolean): void {
    setTheme(isDark ? 'light' : 'dark')
    this.requestUpdate()
    dispatchEvent(new CustomEvent('bw-theme'))
  }

  readonly #skip = (): void => {
    this.renderRoot.querySelector<HTMLElement>('#main')?.focus()
  }
}
customElements.define('bw-app', App)
