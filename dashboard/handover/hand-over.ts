import { css, html, LitElement, nothing } from 'lit'
import { shared } from '../style/shared.ts'

/** A batch as one file, for whoever is to look at it elsewhere. */
export class HandOver extends LitElement {
  static override properties = {
    batchId: { attribute: false },
    guest: { type: Boolean },
    names: { state: true },
    photos: { state: true },
  }
  declare batchId: string
  /** It came as a file: it goes as that file. */
  declare guest: boolean
  declare names: boolean
  declare photos: boolean

  constructor() {
    super()
    this.batchId = ''
    this.guest = false
    this.names = true
    this.photos = false
  }

  static override styles = [
    shared,
    css`
      .inside {
        display: grid;
        gap: 10px;
        justify-items: start;
      }
    `,
  ]

  override render() {
    const asked = new URLSearchParams({ names: String(this.names), photos: String(this.photos) })
    return html`<details>
      <summary>Hand it to somebody as a file</summary>
      <div class="inside">
        <p class="soft">
          Readings, log, alarms and settings in one file. Another brinewatch plays it back and finds the same
          causes: there, Lots, Batches, Bring a batch in.
        </p>
        ${
          this.guest
            ? nothing
            : html`<label class="check"
                  ><input
                    type="checkbox"
                    .checked=${this.names}
                    @change=${(event: Event) => (this.names = (event.target as HTMLInputElement).checked)}
                  />
                  With the names of who did what</label
                >
                <label class="check"
                  ><input
                    type="checkbox"
                    .checked=${this.photos}
                    @change=${(event: Event) => (this.photos = (event.target as HTMLInputElement).checked)}
                  />
                  With its photos</label
                >
                <p class="soft">What stands in notes goes with it as it is.</p>`
        }
        <a
          class="button quiet"
          href="/api/v1/batches/${encodeURIComponent(this.batchId)}/export?${asked}"
          download
          >Save the file</a
        >
      </div>
    </details>`
  }
}
customElements.define('bw-hand-over', HandOver)
