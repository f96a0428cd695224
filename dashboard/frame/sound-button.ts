import { css, html, LitElement } from 'lit'
import { sound, SoundState } from '../alarm/sound.ts'
import { shared } from '../style/shared.ts'

const SOUND_WORDS: Record<SoundState, string> = {
  off: 'Turn sound on',
  waiting: 'Tap for sound',
  on: 'Sound is on',
}

/** What a tap does, and where more of it is told. */
const SOUND_TITLES: Record<SoundState, string> = {
  off: 'Alarms are only shown on this screen. How they sound: in the settings.',
  waiting: 'The browser lets no page sound before the first tap after it was opened.',
  on: 'Until this page is closed. How alarms sound: in the settings.',
}

/** Whether alarms will be heard from this screen, and the tap that a browser wants before they may. */
export class SoundButton extends LitElement {
  #stop: (() => void) | undefined

  static override styles = [
    shared,
    css`
      button {
        min-height: 48px;
        padding: 6px 14px;
        font-size: 1rem;
        white-space: nowrap;
        border-color: var(--line-strong);
      }
      .off,
      .waiting {
        background: transparent;
        color: var(--ink);
        border-style: dashed;
        border-color: var(--ink-soft);
      }
      svg {
        flex: none;
      }
      @media (max-width: 430px) {
        button {
          padding: 6px 12px;
          gap: 6px;
          font-size: 0.9375rem;
        }
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    this.#stop = sound.follow(() => this.requestUpdate())
    addEventListener('pointerdown', this.#wake, { capture: true })
    addEventListener('keydown', this.#wake, { capture: true })
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#stop?.()
    removeEventListener('pointerdown', this.#wake, { capture: true })
    removeEventListener('keydown', this.#wake, { capture: true })
  }
  readonly #wake = (): void => {
    if (sound.state === SoundState.waiting) void sound.wake()
  }

  override render() {
    const { state } = sound
    return html`<button
      class=${state}
      aria-pressed=${state === SoundState.on}
      title=${SOUND_TITLES[state]}
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
}
customElements.define('bw-sound', SoundButton)
