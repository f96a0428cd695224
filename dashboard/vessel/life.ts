import type { ReactiveController, ReactiveControllerHost } from 'lit'
import { Bubbles, bubbleRate } from './bubbles.ts'
import { Cloud, cloudTopY } from './cloud.ts'
import { AXIS, outline, PICTURE, TIP_Y } from './geometry.ts'

/** What moves in one vessel, as far as it is known. */
export interface Scene {
  /** Height of the water's surface in drawing units; `null` for a dry vessel. */
  readonly surfaceY: number | null
  /** Flow, l/min per litre of water; 0 when none or not known. */
  readonly airLpmPerLitre: number
  /** 0 to 1; `null` without a batch. */
  readonly hatchedShare: number | null
  readonly lit: boolean
  /** Old news does not move. */
  readonly still: boolean
}

const FRAME_MS = 1000 / 30
/** A still picture is taken after so much time has been played through. */
const STILL_S = 6

const NAUPLIUS = '#ffa083'
const NAUPLIUS_LIT = '#ffb494'
const CYST = '#b98a5e'

/** One loop for all vessels on the page: thirty frames a second, none while the page is hidden. */
class Loop {
  readonly #lives = new Set<Life>()
  #running = false
  #lastMs = 0

  add(life: Life): void {
    this.#lives.add(life)
    if (this.#running) return
    this.#running = true
    requestAnimationFrame(this.#frame)
  }
  has(life: Life): boolean {
    return this.#lives.has(life)
  }
  remove(life: Life): void {
    this.#lives.delete(life)
  }

  readonly #frame = (nowMs: number): void => {
    if (this.#lives.size === 0) {
      this.#running = false
      return
    }
    requestAnimationFrame(this.#frame)
    const passedMs = nowMs - this.#lastMs
    if (passedMs < FRAME_MS - 2) return
    this.#lastMs = nowMs
    const seconds = Math.min(0.1, passedMs / 1000)
    for (const life of this.#lives) life.frame(seconds)
  }
}
const loop = new Loop()

/** Draws bubbles, cysts and nauplii on its host's canvas, only while that can be seen. */
export class Life implements ReactiveController {
  scene: Scene = { surfaceY: null, airLpmPerLitre: 0, hatchedShare: null, lit: false, still: false }
  readonly #host: ReactiveControllerHost & Element
  readonly #bubbles = new Bubbles()
  readonly #cloud = new Cloud()
  readonly #calm = matchMedia('(prefers-reduced-motion: reduce)')
  #canvas: HTMLCanvasElement | null = null
  #seen: IntersectionObserver | undefined
  #water: Path2D | null = null
  #waterY: number | null = null

  constructor(host: ReactiveControllerHost & Element) {
    this.#host = host
    host.addController(this)
  }

  hostConnected(): void {
    this.#calm.addEventListener('change', this.#restart)
    this.#seen = new IntersectionObserver(
      entries => {
        if (entries.some(entry => entry.isIntersecting)) this.#restart()
        else loop.remove(this)
      },
      { rootMargin: '120px' },
    )
    this.#seen.observe(this.#host)
  }

  hostDisconnected(): void {
    this.#calm.removeEventListener('change', this.#restart)
    this.#seen?.disconnect()
    loop.remove(this)
  }

  hostUpdated(): void {
    this.#canvas = this.#host.shadowRoot?.querySelector('canvas') ?? null
    // Those out of sight have a picture too: a page may be printed, or scrolled faster than they wake.
    if (this.#calm.matches || !loop.has(this)) this.#still()
  }

  readonly #restart = (): void => {
    if (this.#calm.matches) {
      loop.remove(this)
      this.#still()
    } else loop.add(this)
  }

  /** The same picture without motion: played on unseen, then drawn once. */
  #still(): void {
    if (
      this.#cloud.cysts.length === 0 ||
      (this.scene.airLpmPerLitre === 0) !== (this.#bubbles.list.length === 0)
    )
      for (let passed = 0; passed < STILL_S; passed += 0.05) this.#step(0.05)
    else this.#step(0)
    this.#draw()
  }

  frame(seconds: number): void {
    if (this.scene.still) return
    this.#step(seconds)
    this.#draw()
  }

  #step(seconds: number): void {
    const { surfaceY, airLpmPerLitre, hatchedShare } = this.scene
    if (surfaceY === null) return
    this.#bubbles.step(seconds, bubbleRate(airLpmPerLitre), surfaceY, Math.random)
    if (hatchedShare !== null)
      this.#cloud.step(seconds, { hatchedShare, surfaceY, stirred: airLpmPerLitre > 0 }, Math.random)
  }

  #draw(): void {
    const canvas = this.#canvas
    const context = canvas?.getContext('2d')
    if (!canvas || !context) return
    const ratio = Math.min(2, devicePixelRatio)
    const width = Math.round(canvas.clientWidth * ratio)
    const height = Math.round(canvas.clientHeight * ratio)
    if (width === 0) return
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width
      canvas.height = height
    }
    const scale = width / PICTURE.width
    context.setTransform(1, 0, 0, 1, 0, 0)
    context.clearRect(0, 0, width, height)
    const { surfaceY, hatchedShare, lit } = this.scene
    if (surfaceY === null) return
    context.setTransform(scale, 0, 0, scale, -PICTURE.x * scale, -PICTURE.y * scale)
    if (this.#waterY !== surfaceY) {
      this.#waterY = surfaceY
      this.#water = new Path2D(outline(surfaceY, 3))
    }
    if (!this.#water) return
    context.save()
    context.clip(this.#water)
    if (hatchedShare !== null) this.#drawCloud(context, hatchedShare, surfaceY, lit)
    context.strokeStyle = 'rgb(240 252 250 / 0.75)'
    context.lineWidth = 0.9
    for (const bubble of this.#bubbles.list) {
      context.beginPath()
      context.arc(bubble.x, bubble.y, bubble.radius, 0, Math.PI * 2)
      context.stroke()
    }
    context.restore()
  }

  #drawCloud(context: CanvasRenderingContext2D, share: number, surfaceY: number, lit: boolean): void {
    const topY = cloudTopY(share, surfaceY)
    if (share >= 0.005) {
      const haze = context.createLinearGradient(0, topY - 10, 0, TIP_Y)
      const strength = 0.42 + 0.4 * share
      haze.addColorStop(0, 'rgb(255 140 105 / 0)')
      haze.addColorStop(Math.min(0.4, 24 / (TIP_Y - topY + 10)), `rgb(255 140 105 / ${strength})`)
      haze.addColorStop(1, `rgb(255 120 90 / ${Math.min(0.85, strength + 0.15)})`)
      context.fillStyle = haze
      context.fillRect(AXIS - 60, topY - 10, 120, TIP_Y - topY + 10)
    }
    context.fillStyle = CYST
    for (const cyst of this.#cloud.cysts) context.fillRect(cyst.x - 0.9, cyst.y - 0.9, 1.8, 1.8)
    context.strokeStyle = lit ? NAUPLIUS_LIT : NAUPLIUS
    context.lineCap = 'round'
    context.lineWidth = 1.7
    context.beginPath()
    // A short stroke along its way shows where each is heading.
    for (const { x, y, dx, dy } of this.#cloud.nauplii) {
      context.moveTo(x, y)
      context.lineTo(x - dx * 0.09 - 0.5, y - dy * 0.09 + 1)
    }
    context.stroke()
  }
}
