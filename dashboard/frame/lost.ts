import { css, html, LitElement, nothing } from 'lit'
import { Link } from '../state/room-state.ts'
import { store } from '../state/store.ts'
import { Tick, Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import { duration } from '../words/time.ts'

/** Says that the page has lost the broker, or never reached it, and how old what it shows has become. */
export class Lost extends LitElement {
  readonly #link = new Watch(this, from => from.link)

  constructor() {
    super()
    // The age goes on counting.
    new Tick(this, 1_000)
  }

  static override styles = [
    shared,
    css`
      p {
        padding: 12px 16px;
        font-weight: 650;
        background: var(--ink);
        color: var(--ground);
        display: flex;
        gap: 10px;
        align-items: center;
      }
      p::before {
        content: '';
        width: 14px;
        height: 14px;
        border: 3px solid currentColor;
        border-radius: 50%;
        flex: none;
        border-right-color: transparent;
      }
    `,
  ]

  override render() {
    const link = this.#link.value
    if (link !== Link.lost && link !== Link.unreached) return nothing
    return html`<p role="status">
      <span
        >${
          link === Link.lost
            ? html`No connection. What you see is ${duration(store.clock.sinceHeardMs())} old. Trying again.`
            : 'No connection. The broker does not answer, so no vessel can be shown. Trying again.'
        }</span
      >
    </p>`
  }
}
customElements.define('bw-lost', Lost)
