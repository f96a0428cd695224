import { css, html, LitElement, nothing } from 'lit'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { Tick } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { unbroken } from '../words/alarm-span.ts'
import { airIsBack, oxygenCourse, oxygenText } from '../words/alarm-oxygen.ts'

/** How long a vessel without air has yet, counted down. */
export class Oxygen extends LitElement {
  static override properties = {
    alarm: { attribute: false },
    vessel: { attribute: false },
    settings: { attribute: false },
  }
  declare alarm: Alarm | null
  declare vessel: Vessel | null
  declare settings: Settings | null
  readonly #tick = new Tick(this, 1_000)

  constructor() {
    super()
    this.alarm = null
    this.vessel = null
    this.settings = null
  }

  static override styles = [
    shared,
    css`
      p {
        font-weight: 700;
        font-variant-numeric: tabular-nums;
      }
    `,
  ]

  override render() {
    const { alarm, vessel, settings } = this
    if (!alarm || !vessel || !settings) return nothing
    const back = airIsBack(vessel, settings, this.#tick.nowMs)
    if (back !== '') return html`<p>${unbroken(back)}</p>`
    const course = oxygenCourse(alarm, vessel, settings)
    return course ? html`<p>${unbroken(oxygenText(course, this.#tick.nowMs, zone))}</p>` : nothing
  }
}
customElements.define('bw-oxygen', Oxygen)
