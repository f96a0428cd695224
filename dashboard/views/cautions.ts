import { html } from 'lit'

/** What is to be minded in any room with lamps, mains and salt water. */
export const cautions = () => html`
  <h2>Mind these</h2>
  <ul class="cautions-list">
    <li>
      <strong>Mains and salt water.</strong> Feed the shelf through a residual-current device, leave a drip
      loop in every cable, and use low-voltage lamps and probes where you can. Mains work is for licensed
      people.
    </li>
    <li>
      <strong>A hot lamp near a plastic bottle</strong> can melt or shatter it and start a fire. Fix it, guard
      it, keep it off the splash.
    </li>
    <li>
      <strong>Software is never the only protection.</strong> Between a heater and a fire stands an
      independent thermostat or thermal cut-out, not this page.
    </li>
    <li>
      <strong>Air must run, or its line be shut,</strong> before water goes in; a check valve keeps water out
      of the pump in a power cut.
    </li>
    <li>
      <strong>Bleach</strong> wants gloves and air, never meets acids or ammonia, and is rinsed off and
      neutralised. Cyst dust is an allergen.
    </li>
  </ul>
`
