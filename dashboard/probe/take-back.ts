import { html } from 'lit'

/** Asked before a calibration is taken back. */
export const takeBackQuestion = (busy: boolean, back: () => void, keep: () => void) =>
  html`<div role="group" aria-label="Take this calibration back?">
    <p>From now on the probe is set right as it was before this one. Take it back?</p>
    <div class="row">
      <button class="really" ?disabled=${busy} @click=${back}>Take it back</button>
      <button class="quiet" @click=${keep}>Keep it</button>
    </div>
  </div>`
