import { html, svg, type TemplateResult } from 'lit'

/** The paper in the stem: from its top to its foot, in specific gravity, and drawing units for each thousandth. */
const TOP = 0.998
const FOOT = 1.042
const UNIT = 3.6
const PAPER_Y = 14
const WATER_Y = 132
const AXIS = 66
/** Half of the paper's width. */
const HALF = 24

const at = (reading: number): number => PAPER_Y + (reading - TOP) * 1000 * UNIT

/**
 * A hydrometer in the brine: the surface stays where it is and the float rises with the salt, so that the reading is what the
 * surface meets. `basis` is printed where it is found on a real one; `wanted` is marked on the stem.
 */
export function hydrometerPicture(reading: number, wanted: number | null, basis: string): TemplateResult {
  const shown = Math.min(FOOT, Math.max(TOP, reading))
  const lift = WATER_Y - at(shown)
  const marks = Array.from({ length: 21 }, (_, i) => 1 + i * 0.002)
  return html`<svg class="float" viewBox="0 0 124 284" width="124" height="284" aria-hidden="true">
    ${svg`
      <rect class="brine" x="4" y=${WATER_Y} width="116" height="148" rx="6" />
      <g transform="translate(0 ${lift.toFixed(1)})">
        <path class="paper" d="M${AXIS - HALF} ${PAPER_Y - 4} h${2 * HALF} V${at(FOOT) + 4} h-${2 * HALF} Z" />
        ${marks.map(mark => {
          const major = Math.round(mark * 1000) % 10 === 0
          return svg`<path class="mark" d="M${AXIS - HALF} ${at(mark).toFixed(1)} h${major ? 8 : 5}" />
            ${major ? svg`<text class="figure" x=${AXIS + HALF - 2} y=${(at(mark) + 3.5).toFixed(1)}>${mark.toFixed(3)}</text>` : ''}`
        })}
        <path class="bulb" d="M${AXIS - HALF - 1} ${at(FOOT) + 4} c0 14 -14 14 -14 40 c0 26 ${2 * HALF + 30} 26 ${2 * HALF + 30} 0 c0 -26 -14 -26 -14 -40" />
        <path class="stem" d="M${AXIS - HALF - 1} ${at(FOOT) + 6} V12 a${HALF + 1} 10 0 0 1 ${2 * HALF + 2} 0 V${at(FOOT) + 6}" />
        <text class="basis" transform="translate(${AXIS - HALF - 7} ${at(1.009)}) rotate(-90)">${basis}</text>
        ${wanted === null ? '' : svg`<path class="wanted" d="M${AXIS + HALF + 4} ${at(wanted).toFixed(1)} l13 -8 v16 Z" />`}
      </g>
      <path class="surface" d="M4 ${WATER_Y} H${AXIS - HALF - 1} M${AXIS + HALF + 1} ${WATER_Y} H120" />
      <path class="surface across" d="M${AXIS - HALF} ${WATER_Y} h${2 * HALF}" />`}
  </svg>`
}
