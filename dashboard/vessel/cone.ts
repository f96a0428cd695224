import { css as style, html, LitElement, nothing, svg } from 'lit'
import { css, type Rgb, UNKNOWN } from './colour.ts'
import { AXIS, levelY, outline, PICTURE, RIM_Y, TIP_Y } from './geometry.ts'
import { type Hatched, Life, type Scene } from './life.ts'

/** What one vessel looks like now. */
export interface ConePicture {
  /** Share of the vessel that is filled; 0 draws it dry. */
  readonly filled: number
  readonly colour: Rgb
  /** l/min per litre; `null` when air is not measured: the line is drawn, but empty. */
  readonly airLpmPerLitre: number | null
  readonly airAssigned: boolean
  readonly probeAssigned: boolean
  /** `null` when light is not measured: the lamp is only sketched. */
  readonly lit: boolean | null
  /** `null` without a batch. */
  readonly hatched: Hatched | null
  /** What is shown is old: nothing moves, and the picture pales. */
  readonly old: boolean
}

export const DRY: ConePicture = {
  filled: 0,
  colour: UNKNOWN,
  airLpmPerLitre: null,
  airAssigned: false,
  probeAssigned: false,
  lit: null,
  hatched: null,
  old: false,
}

const GLASS = outline(RIM_Y, 0, false)

/** The vessel as the cone it is. Purely a picture: whoever places it says in words what it shows. */
export class Cone extends LitElement {
  static override properties = { picture: { attribute: false } }
  declare picture: ConePicture
  readonly #life = new Life(this)

  constructor() {
    super()
    this.picture = DRY
  }

  static override styles = style`
    :host { display: block; position: relative; aspect-ratio: ${PICTURE.width} / ${PICTURE.height}; }
    :host([old]) { opacity: 0.5; filter: grayscale(0.8); }
    svg, canvas { position: absolute; inset: 0; width: 100%; height: 100%; overflow: visible; }
    canvas { overflow: hidden; }
    .glass { fill: none; stroke: var(--glass); stroke-width: 2.5; stroke-linejoin: round; stroke-linecap: round; }
    .shine { stroke: var(--shine); stroke-width: 4; stroke-linecap: round; fill: none; }
    .part { fill: none; stroke: var(--kit); stroke-width: 2.5; stroke-linecap: round; }
    .tube { fill: none; stroke: var(--tube); stroke-width: 4; stroke-linecap: round; }
    .absent { stroke-dasharray: 2 6; opacity: 0.5; }
    .shade { fill: var(--kit-dark); stroke: var(--kit); stroke-width: 2; stroke-linejoin: round; }
    .metal { fill: var(--kit); }
    .water { transition: fill 0.8s; }
    .surface { stroke: rgb(255 255 255 / 0.55); stroke-width: 1.5; }
    .dry { stroke: var(--kit); stroke-width: 1.5; stroke-dasharray: 3 5; opacity: 0.7; }
    @media (prefers-reduced-motion: reduce) { .water { transition: none; } }
  `

  override willUpdate(): void {
    const { filled, airLpmPerLitre, hatched, lit, old } = this.picture
    this.toggleAttribute('old', old)
    const scene: Scene = {
      surfaceY: filled > 0 ? levelY(filled) : null,
      airLpmPerLitre: airLpmPerLitre ?? 0,
      hatched,
      lit: lit === true,
      still: old,
    }
    this.#life.scene = scene
  }

  override render() {
    const { x, y, width, height } = PICTURE
    const view = `${x} ${y} ${width} ${height}`
    const { filled, colour, lit } = this.picture
    const surfaceY = levelY(filled)
    return html`
      <svg viewBox=${view} aria-hidden="true">
        <defs>
          <radialGradient id="glow">
            <stop offset="0" stop-color="#ffd58a" stop-opacity="0.5" />
            <stop offset="0.5" stop-color="#ffc46b" stop-opacity="0.16" />
            <stop offset="1" stop-color="#ffc46b" stop-opacity="0" />
          </radialGradient>
          <linearGradient id="beam" x1="0" y1="0" x2="0" y2="1">
            <stop offset="0" stop-color="#ffe2a6" stop-opacity="0.62" />
            <stop offset="1" stop-color="#ffe2a6" stop-opacity="0.04" />
          </linearGradient>
          <linearGradient id="depth" x1="0" y1="0" x2="1" y2="0">
            <stop offset="0" stop-color="#000" stop-opacity="0.32" />
            <stop offset="0.35" stop-color="#fff" stop-opacity="0.1" />
            <stop offset="1" stop-color="#000" stop-opacity="0.3" />
          </linearGradient>
        </defs>
        ${
          lit === true
            ? svg`<ellipse cx=${AXIS} cy="104" rx="84" ry="104" fill="url(#glow)" />
                <path d="M86 34 L114 34 L${AXIS + 54} 128 L${AXIS - 54} 128 Z" fill="url(#beam)" />`
            : nothing
        }
        ${this.#lamp()}
        ${
          filled > 0
            ? svg`<path class="water" d=${outline(surfaceY, 2)} fill=${css(colour)} />
                <path d=${outline(surfaceY, 2)} fill="url(#depth)" />`
            : nothing
        }
        <path class="part" d="M94 ${TIP_Y} v10 h12 v-10 M100 ${TIP_Y + 10} v7 M91 ${TIP_Y + 4} h-5" />
      </svg>
      <canvas aria-hidden="true"></canvas>
      <svg viewBox=${view} aria-hidden="true">
        ${
          filled > 0
            ? svg`<line class="surface" x1=${AXIS - 52} x2=${AXIS + 52} y1=${surfaceY} y2=${surfaceY} />`
            : svg`<line class="dry" x1=${AXIS - 48} x2=${AXIS + 48} y1="112" y2="112" />`
        }
        ${this.#airLine()} ${this.#probe(filled > 0 ? surfaceY : 112)}
        <path class="glass" d=${GLASS} />
        <path class="shine" d="M${AXIS - 45} 76 V142" />
      </svg>
    `
  }

  #lamp() {
    const { lit } = this.picture
    const state = lit === null ? 'part absent' : 'part'
    return svg`<path class=${state} d="M100 -2 V14" />
      <path class=${lit === null ? 'shade absent' : 'shade'} d="M92 13 H108 L122 34 H78 Z" />
      <path d="M86 34 A14 9 0 0 0 114 34 Z" fill=${lit === true ? '#fff1c9' : 'none'} stroke="var(--kit)"
        stroke-width="1.5" />`
  }

  #airLine() {
    const { airAssigned } = this.picture
    return svg`<path class=${airAssigned ? 'tube' : 'tube absent'}
      d="M171 20 C150 22 140 36 ${AXIS + 38} 54 C ${AXIS + 24} 66 ${AXIS + 20} 120 ${AXIS + 13} 190 L ${AXIS + 3} 250" />`
  }

  #probe(surfaceY: number) {
    if (!this.picture.probeAssigned) return nothing
    const endY = Math.max(surfaceY + 22, 140)
    return svg`<path class="part" d="M30 40 C56 40 ${AXIS - 34} 44 ${AXIS - 27} 64 V${endY}" />
      <rect class="metal" x=${AXIS - 30} y=${endY} width="6" height="20" rx="3" />`
  }
}
customElements.define('bw-cone', Cone)
