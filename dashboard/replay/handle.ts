import { css, html, LitElement, nothing, type PropertyValues } from 'lit'
import { shared } from '../style/shared.ts'
import type { Shade } from './diagnosed.ts'
import type { Happening } from './happenings.ts'
import { byKey, byWheel } from './handle-keys.ts'
import { MomentEvent } from './moment-event.ts'
import type { Recording } from './recording.ts'
import { strip } from './strip.ts'

/** The handle on a batch's time: the whole batch in a strip, and the moment that is looked at. Thumb, wheel and keys move it. */
export class TimeHandle extends LitElement {
  static override properties = {
    recording: { attribute: false },
    shades: { attribute: false },
    happenings: { attribute: false },
    atMs: { attribute: false },
    text: { attribute: false },
  }
  declare recording: Recording | null
  declare shades: readonly Shade[]
  declare happenings: readonly Happening[]
  /** Unix ms. */
  declare atMs: number
  /** The moment in words. */
  declare text: string
  /** Asked for and not drawn yet: keys may come faster than frames. */
  #askedMs: number | null = null
  #drawn: { of: unknown[]; strip: unknown } | null = null

  constructor() {
    super()
    this.recording = null
    this.shades = []
    this.happenings = []
    this.atMs = 0
    this.text = ''
  }

  static override styles = [
    shared,
    css`
      .track {
        position: relative;
        height: 56px;
        touch-action: pan-y;
        cursor: ew-resize;
        background: var(--raised);
        border: 1px solid var(--line-strong);
        border-radius: 10px;
      }
      @media (max-width: 959px) {
        .track {
          height: 48px;
        }
      }
      svg {
        position: absolute;
        inset: 0;
        width: 100%;
        height: 100%;
        border-radius: 9px;
      }
      .water {
        fill: none;
        stroke: var(--ink);
        stroke-width: 1.75;
        vector-effect: non-scaling-stroke;
      }
      .first {
        fill: var(--hot);
        opacity: 0.34;
      }
      .other {
        fill: var(--warm);
        opacity: 0.3;
      }
      .alarm,
      .person {
        stroke: var(--hot);
        stroke-width: 3;
        vector-effect: non-scaling-stroke;
      }
      .person {
        stroke: var(--ink-soft);
      }
      .thumb {
        position: absolute;
        top: -7px;
        bottom: -7px;
        left: 0;
        width: 4px;
        margin-left: -2px;
        background: var(--ink);
        border-radius: 2px;
        pointer-events: none;
        will-change: transform;
      }
      .thumb::before,
      .thumb::after {
        content: '';
        position: absolute;
        left: -9px;
        width: 22px;
        height: 12px;
        background: var(--ink);
        border-radius: 6px;
      }
      .thumb::before {
        top: -6px;
      }
      .thumb::after {
        bottom: -6px;
      }
    `,
  ]

  override render() {
    const { recording } = this
    if (!recording) return nothing
    const { fromMs, toMs } = recording
    const minutes = (ms: number) => Math.round((ms - fromMs) / 60_000)
    return html`<div
      class="track"
      role="slider"
      tabindex="0"
      aria-label="Moment of the batch"
      aria-orientation="horizontal"
      aria-valuemin="0"
      aria-valuemax=${minutes(toMs)}
      aria-valuenow=${minutes(this.atMs)}
      aria-valuetext=${this.text}
      @keydown=${this.#key}
      @pointerdown=${this.#down}
      @pointermove=${this.#move}
    >
      ${this.#strip(recording)}
      <div class="thumb"></div>
    </div>`
  }

  override firstUpdated(): void {
    // Not passive: the page must not scroll under a wheel that turns the batch's time.
    this.addEventListener('wheel', this.#wheel, { passive: false })
  }
  override updated(changed: PropertyValues<this>): void {
    // Whoever draws draws what was asked for last.
    if (changed.has('atMs')) this.#askedMs = null
    if (changed.has('recording')) this.#followSize()
    if (changed.has('atMs') || changed.has('recording')) this.#place()
  }
  /** As wide as the track, CSS px: told by the browser, for asking would have it lay the page out at every step. */
  #wide = 0
  readonly #sizes = new ResizeObserver(([size]) => {
    this.#wide = size?.contentRect.width ?? 0
    this.#place()
  })
  override connectedCallback(): void {
    super.connectedCallback()
    this.#followSize()
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#sizes.disconnect()
  }

  #followSize(): void {
    const track = this.renderRoot.querySelector('.track')
    if (track) this.#sizes.observe(track)
  }

  /** The strip is the same at every moment: it is made anew only when what it shows has changed. */
  #strip(recording: Recording) {
    const of = [recording, this.shades, this.happenings]
    if (!this.#drawn || of.some((each, at) => each !== this.#drawn?.of[at]))
      this.#drawn = { of, strip: strip(recording, this.shades, this.happenings) }
    return this.#drawn.strip
  }

  #place(): void {
    const thumb = this.renderRoot.querySelector<HTMLElement>('.thumb')
    const { recording } = this
    if (!thumb || !recording) return
    const share = (this.atMs - recording.fromMs) / (recording.toMs - recording.fromMs)
    const at = this.#wide * Math.min(1, Math.max(0, share))
    thumb.style.transform = `translateX(${at.toFixed(1)}px)`
  }

  /** Another moment was asked for elsewhere, and is drawn with the next frame: keys go on from there. */
  expect(atMs: number): void {
    if (atMs !== this.atMs) this.#askedMs = atMs
  }

  #ask(atMs: number): void {
    const { recording } = this
    if (!recording) return
    this.#askedMs = Math.min(recording.toMs, Math.max(recording.fromMs, atMs))
    this.dispatchEvent(new MomentEvent(this.#askedMs))
  }

  readonly #key = (event: KeyboardEvent): void => {
    if (!this.recording || event.ctrlKey || event.metaKey || event.altKey) return
    const next = byKey(event, this.#askedMs ?? this.atMs, this.recording)
    if (next === null) return
    event.preventDefault()
    this.#ask(next)
  }

  readonly #down = (event: PointerEvent): void => {
    if (event.button !== 0) return
    const track = event.currentTarget as HTMLElement
    track.setPointerCapture(event.pointerId)
    this.#toPointer(event, track)
  }
  readonly #move = (event: PointerEvent): void => {
    const track = event.currentTarget as HTMLElement
    if (track.hasPointerCapture(event.pointerId)) this.#toPointer(event, track)
  }
  #toPointer({ clientX }: PointerEvent, track: HTMLElement): void {
    const { recording } = this
    const box = track.getBoundingClientRect()
    if (!recording || box.width === 0) return
    this.#ask(recording.fromMs + ((clientX - box.left) / box.width) * (recording.toMs - recording.fromMs))
  }

  readonly #wheel = (event: WheelEvent): void => {
    if (event.ctrlKey) return
    event.preventDefault()
    this.#ask((this.#askedMs ?? this.atMs) + byWheel(event))
  }
}
customElements.define('bw-time-handle', TimeHandle)
