import { css, html, LitElement, nothing } from 'lit'
import type { NotifySettings } from '../../broker/web/api/notify.ts'
import { Fetched } from '../book/fetched.ts'
import { forWhom, may } from '../state/me.ts'
import { putAwayUncalled, uncalledPutAway } from '../state/preferences.ts'
import { shared } from '../style/shared.ts'
import { uncalledText } from '../words/called.ts'

/** Says once a batch is on its way that nobody will be called: one quiet line, until somebody is, or it is put away for good. */
export class Uncalled extends LitElement {
  static override properties = { away: { state: true } }
  /** It was put away here and now: what became of it is said until the page is left. */
  declare away: boolean
  readonly #put = uncalledPutAway()
  readonly #notify = new Fetched<NotifySettings>(this, () => (this.#put ? null : '/notify'))

  constructor() {
    super()
    this.away = false
  }

  static override styles = [
    shared,
    css`
      p {
        padding: 8px 16px;
        display: flex;
        flex-wrap: wrap;
        gap: 2px 16px;
        align-items: center;
      }
      span {
        flex: 0 1 auto;
        text-wrap: pretty;
      }
      a,
      button {
        display: inline-flex;
        align-items: center;
        min-height: 48px;
      }
      @media (min-width: 720px) {
        p {
          padding-inline: 24px;
        }
      }
    `,
  ]

  override render() {
    if (this.away)
      return html`<p class="soft" role="status" tabindex="-1">
        Put away on this screen. Who is called stands in the settings.
      </p>`
    const words = this.#notify.value ? uncalledText(this.#notify.value) : ''
    if (words === '') return nothing
    return html`<p class="soft">
      <span>${words}</span>
      ${may('owner') ? html`<a href="/settings#people">Set up who is called</a>` : forWhom('owner')}
      <button class="quiet small" @click=${this.#putAway}>
        Put away<span class="hidden"> that nobody is called, for good</span>
      </button>
    </p>`
  }

  readonly #putAway = (): void => {
    putAwayUncalled()
    this.away = true
    void this.updateComplete.then(() => this.renderRoot.querySelector('p')?.focus())
  }
}
customElements.define('bw-uncalled', Uncalled)
