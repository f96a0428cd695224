import { css, html, LitElement } from 'lit'
import '../forms/new-vessel.ts'
import { forWhom, may } from '../state/me.ts'
import { Watch } from '../state/watch.ts'
import { shared } from '../style/shared.ts'
import '../vessel/cone.ts'
import { addDeviceCommand, firstReadingCommand } from '../words/connect.ts'
import { cautions } from './cautions.ts'

/** An empty room: what to do first, and what to mind. */
export class FirstRun extends LitElement {
  readonly #connect = new Watch(this, store => store.state.connect)

  static override styles = [
    shared,
    css`
      .intro {
        display: grid;
        grid-template-columns: 96px 1fr;
        gap: 16px;
        align-items: center;
      }
      ol {
        margin: 0;
        padding: 0;
        list-style: none;
        display: grid;
        gap: 36px;
        counter-reset: step;
      }
      li.step {
        counter-increment: step;
        display: grid;
        gap: 14px;
      }
      li.step h2::before {
        content: counter(step) '  ';
        color: var(--nauplii);
        white-space: pre;
      }
      .cautions {
        border-top: 2px solid var(--line);
        padding-top: 20px;
      }
    `,
  ]

  override render() {
    const connect = this.#connect.value
    return html`<div class="page">
      <div class="intro">
        <bw-cone></bw-cone>
        <div>
          <h1>The shelf is empty.</h1>
          <p class="soft">Two steps, and the first vessel is watched.</p>
        </div>
      </div>
      <ol>
        <li class="step">
          <h2>Add a vessel</h2>
          <bw-new-vessel></bw-new-vessel>
        </li>
        <li class="step">
          <h2>Connect a device</h2>
          <p>
            Name it, and type the code that you get at the device. A board with our program needs nothing
            else, and shows up here as a new device to place on a vessel.
          </p>
          ${
            may('owner')
              ? html`<div class="row"><a class="button" href="/devices">Add a device</a></div>`
              : html`<p class="soft">${forWhom('owner')}</p>`
          }
          <p>
            Any other microcontroller that speaks MQTT will do too. On the machine that runs brinewatch, make
            it a password:
          </p>
          <pre tabindex="0"><code>${addDeviceCommand('bench-1', connect)}</code></pre>
          <p>
            Send a first reading by hand to see that it arrives. It shows up here as a new device to place on
            a vessel.
          </p>
          <pre tabindex="0"><code>${firstReadingCommand(location.hostname, 'bench-1', connect)}</code></pre>
        </li>
      </ol>
      <section class="cautions">${cautions()}</section>
    </div>`
  }
}
customElements.define('bw-first-run', FirstRun)
