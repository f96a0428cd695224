import { css, html, LitElement, nothing } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { shared } from '../style/shared.ts'
import { signColours } from '../style/sign-colours.ts'
import { prioritySign } from '../vessel/marks.ts'
import { patternText, shakeText, SOUND_SENTENCE } from '../words/sound.ts'
import { canShake, sound, SoundState } from './sound.ts'
import { PATTERNS } from './tones.ts'

const PRIORITIES: readonly Alarm['priority'][] = ['critical', 'high', 'low']

/** Whether this screen is heard, how each priority sounds and shakes, and a taste of each. */
export class SoundChoice extends LitElement {
  #stop: (() => void) | undefined

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 14px;
      }
      li {
        display: grid;
        grid-template-columns: 30px minmax(0, 1fr) auto;
        gap: 4px 12px;
        align-items: center;
        padding: 10px 0;
        border-top: 1px solid var(--line);
      }
      ul {
        max-width: 40rem;
      }
      ${signColours}
      strong {
        display: block;
        text-transform: capitalize;
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    this.#stop = sound.follow(() => this.requestUpdate())
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#stop?.()
  }

  override render() {
    const { state } = sound
    const shakes = canShake()
    return html`<p role="status">${SOUND_SENTENCE[state]}</p>
      <div class="row">
        <button
          class="quiet"
          aria-pressed=${state !== SoundState.off}
          @click=${() => void sound.turn(state === SoundState.off)}
        >
          ${state === SoundState.off ? 'Turn sound on' : 'Turn sound off'}
        </button>
      </div>
      <ul aria-label="How each priority sounds">
        ${PRIORITIES.map(
          priority =>
            html`<li class=${priority}>
              ${prioritySign(priority, 28)}
              <div>
                <strong>${priority}</strong>
                <span class="soft"
                  >${patternText(priority, PATTERNS[priority])}${shakes ? html`; ${shakeText(PATTERNS[priority])}` : nothing}</span
                >
              </div>
              <button
                class="quiet"
                aria-label="Hear it: ${priority}"
                @click=${() => void sound.sample(priority)}
              >
                Hear it
              </button>
            </li>`,
        )}
      </ul>
      <p class="soft">
        ${shakes ? 'With sound on, this device shakes too, where it may. ' : 'This device does not shake for a page. '}A
        page is as loud as the device is set, and silent where that is. To be called through a closed page or
        by night, see “Call me on this phone” below.
      </p>`
  }
}
customElements.define('bw-sound-choice', SoundChoice)
