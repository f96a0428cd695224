import { css, html, LitElement } from 'lit'
import { setTheme } from '../state/preferences.ts'
import { shared } from '../style/shared.ts'

/** From the dark look to the light one and back. On a small phone the settings have it. */
export class ThemeButton extends LitElement {
  static override styles = [
    shared,
    css`
      button {
        min-height: 48px;
        padding: 0;
        border-color: transparent;
        background: transparent;
        color: var(--ink);
      }
      @media (max-width: 430px) {
        :host {
          display: none;
        }
      }
    `,
  ]

  override connectedCallback(): void {
    super.connectedCallback()
    addEventListener('bw-theme', this.#again)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    removeEventListener('bw-theme', this.#again)
  }
  readonly #again = (): void => this.requestUpdate()

  override render() {
    const chosen = document.documentElement.dataset['theme']
    const isDark =
      chosen === undefined ? matchMedia('(prefers-color-scheme: dark)').matches : chosen === 'dark'
    return html`<button
      aria-label=${isDark ? 'Use the light look' : 'Use the dark look'}
      @click=${() => {
        setTheme(isDark ? 'light' : 'dark')
        dispatchEvent(new CustomEvent('bw-theme'))
      }}
    >
      <svg viewBox="0 0 24 24" width="24" height="24" fill="currentColor" aria-hidden="true">
        <path d="M12 3a9 9 0 1 0 0 18z" />
        <circle cx="12" cy="12" r="9" fill="none" stroke="currentColor" stroke-width="2.2" />
      </svg>
    </button>`
  }
}
customElements.define('bw-theme-button', ThemeButton)
