import { css, html, LitElement } from 'lit'
import { sound, SoundState } from '../alarm/sound.ts'
import { shared } from '../style/shared.ts'

const SOUND_WORDS: Record<SoundState, string> = {
  off: 'Turn sound on',
  waiting: 'Tap for sound',
  on: 'Sound is on',
}

/** Whether alarms will be heard from this screen, and the tap that a browser wants before they may. */
export class SoundButton extends LitElement {
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
    sound.onState = () => this.requestUpdate()
    addEventListener('pointerdown', this.#wake, { capture: true })
    addEventListener('keydown', this.#wake, { capture: true })
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
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
