import { html } from 'lit'

/**
 * How an ice bath is made. After Mangum 1995, Reproducibility of the temperature of the ice point in routine measurements (NIST
 * Technical Note 1411), and MSL Technical Guide 1, 2019, The ice point; for a kitchen.
 */
export const iceBath = html`<ol>
  <li>
    Crush ice to snow, or to bits of 2 to 3 mm. Ice of distilled water is best; clean tap water will do. No
    salt.
  </li>
  <li>
    Fill an insulated cup with it to the brim. Pour in cold clean water until it just fills the gaps: the ice
    must not float.
  </li>
  <li>Press it together and let it stand, 30 min if you can.</li>
  <li>
    Push the probe into the middle, a hand's breadth deep, away from the wall and the bottom: water that has
    melted gathers there at up to 4 °C (39 °F).
  </li>
  <li>Leave it. Pour melted water off and press ice after it.</li>
</ol>`

/** Side by side with another thermometer; common practice, no source. */
export const sideBySide = html`<ol>
  <li>Fill an insulated cup with water as warm as a vessel's, 25 to 30 °C (77 to 86 °F).</li>
  <li>Hold the probe and the thermometer in it tip to tip, as deep as the thermometer asks for.</li>
  <li>Stir until both stand still, then a minute more.</li>
  <li>Write down what the thermometer shows, and how far its maker says it may be off.</li>
</ol>`
