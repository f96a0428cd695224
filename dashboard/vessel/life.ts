import type { ReactiveController, ReactiveControllerHost } from 'lit'
import { Bubbles, bubbleRate } from './bubbles.ts'
import { Cloud, cloudTopY, umbrellaCount } from './cloud.ts'
import { AXIS, outline, PICTURE, TIP_Y } from './geometry.ts'

/** The share that is out, and what it may be at least and at most; the share that hangs as umbrellas. */
export interface Hatched {
  readonly least: number
  readonly share: number
  readonly most: number
  readonly umbrellas: number
}

/** What moves in one vessel, as far as it is known. */
export interface Scene {
  /** Height of the water's surface in drawing units; `null` for a dry vessel. */
  readonly surfaceY: number | null
  /** Flow, l/min per litre of water; 0 when none or not known. */
  readonly airLpmPerLitre: number
  /** 0 to 1; `null` without a batch. */
  readonly hatched: Hatched | null
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
const UMBRELLA = '#ffc4a8'

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
  scene: Scene = { surfaceY: null, airLpmPerLitre: 0, hatched: null, lit: false, still: false }
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
    // What froze is drawn once more without what nobody knows any longer: air that may have stopped has no bubbles.
    if (this.#calm.matches || this.scene.still || !loop.has(this)) this.#still()
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
    const { surfaceY, airLpmPerLitre, hatched } = this.scene
    if (surfaceY === null) return
    this.#bubbles.step(seconds, bubbleRate(airLpmPerLitre), surfaceY, Math.random)
    if (hatched)
      this.#cloud.step(
        seconds,
        { hatchedShare: hatched.share, surfaceY, stirred: airLpmPerLitre > 0 },
        Math.random,
      )
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
    const { surfaceY, hatched, lit } = this.scene
    if (surfaceY === null) return
    context.setTransform(scale, 0, 0, scale, -PICTURE.x * scale, -PICTURE.y * scale)
    if (this.#waterY !== surfaceY) {
      this.#waterY = surfaceY
      this.#water = new Path2D(outline(surfaceY, 3))
    }
    if (!this.#water) return
    context.save()
    context.clip(this.#water)
    if (hatched) this.#drawCloud(context, hatched, surfaceY, lit)
    context.strokeStyle = 'rgb(240 252 250 / 0.75)'
    context.lineWidth = 0.9
    for (const bubble of this.#bubbles.list) {
      context.beginPath()
      context.arc(bubble.x, bubble.y, bubble.radius, 0, Math.PI * 2)
      context.stroke()
    }
    context.restore()
  }

  /** Firm as far as it is sure to stand, thin as far as it may. */
  #drawCloud(context: CanvasRenderingContext2D, hatched: Hatched, surfaceY: number, lit: boolean): void {
    drawHaze(context, cloudTopY(hatched.most, surfaceY), 0.16 + 0.1 * hatched.share, 6)
    drawHaze(context, cloudTopY(hatched.least, surfaceY), 0.36 + 0.34 * hatched.share, 14)
    context.fillStyle = CYST
    for (const cyst of this.#cloud.cysts) context.fillRect(cyst.x - 0.9, cyst.y - 0.9, 1.8, 1.8)
    drawUmbrellas(
      context,
      this.#cloud.cysts.slice(0, umbrellaCount(hatched.umbrellas, this.#cloud.cysts.length)),
    )
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

/** A haze from the tip up to a height, its upper edge soft over `soft` units. */
function drawHaze(context: CanvasRenderingContext2D, topY: number, strength: number, soft: number): void {
  if (topY >= TIP_Y) return
  const fromY = topY - soft
  const haze = context.createLinearGradient(0, fromY, 0, TIP_Y)
  haze.addColorStop(0, 'rgb(255 140 105 / 0)')
  haze.addColorStop(Math.min(0.4, (soft * 2) / (TIP_Y - fromY)), `rgb(255 140 105 / ${strength})`)
  haze.addColorStop(1, `rgb(255 120 90 / ${Math.min(0.85, strength + 0.15)})`)
  context.fillStyle = haze
  context.fillRect(AXIS - 60, fromY, 120, TIP_Y - fromY)
}

/** Embryos that hang below their open shells, still in their membrane. */
function drawUmbrellas(
  context: CanvasRenderingContext2D,
  cysts: readonly { readonly x: number; readonly y: number }[],
): void {
  context.fillStyle = UMBRELLA
  context.beginPath()
  for (const { x, y } of cysts) {
    context.moveTo(x + 1.7, y + 3.6)
    context.ellipse(x, y + 3.6, 1.7, 2.6, 0, 0, Math.PI * 2)
  }
  context.fill()
  context.strokeStyle = CYST
  context.lineWidth = 1.5
  context.beginPath()
  for (const { x, y } of cysts) {
    context.moveTo(x - 2.4, y + 1)
    context.arc(x, y + 1, 2.4, Math.PI, 0)
  }
  context.stroke()
}
