/** The light is gathered into medians of this length, ms, and held against the brightest of so many of them before. */
const SLOT_MS = 60_000
const SLOTS = 10
const LEAST_SLOTS = 3
/** A lamp that gives so much more than it gave is another lamp, or nearer. Own choice: beyond flicker, and the sun behind a cloud. */
const BRIGHTER = 1.2
/** Two readings or more of it, so far apart at least, ms: a torch passes by. */
const LASTS_MS = 25_000
/** After so long the water has told by itself, ms. */
const TELLS_MS = 15 * 60_000
/** What is darker than this before is no lamp that holds water warm, lx. Own choice. */
const LEAST_LX = 200

/** A lamp that grew brighter, by how much, and since when. */
export interface Brightening {
  readonly sinceMs: number
  readonly ratio: number
}

/** Watches whether the light at a vessel has grown at once: its lamp slid nearer, or its dimmer sticks. Fixed in size. */
export class LampWatch {
  #before: number[] = []
  /** The brightest of these; NaN while there are too few. */
  #usualLx = NaN
  #open = NaN
  #values: number[] = []
  #since: { atMs: number; fromLx: number; last: number[]; newestMs: number } | null = null

  /** The next good reading, lx. */
  take(atMs: number, lightLx: number): void {
    const bright = this.#since
    if (bright !== null) {
      if (atMs - bright.atMs > TELLS_MS || lightLx < (bright.fromLx * (1 + BRIGHTER)) / 2) this.#forget()
      else {
        bright.last = [...bright.last.slice(-4), lightLx]
        bright.newestMs = atMs
        return
      }
    }
    const usual = this.#usualLx
    if (usual >= LEAST_LX && lightLx >= BRIGHTER * usual) {
      this.#since = { atMs, fromLx: usual, last: [lightLx], newestMs: atMs }
      return
    }
    const slot = Math.floor(atMs / SLOT_MS)
    if (slot !== this.#open) {
      if (this.#values.length > 0) this.#before = [...this.#before.slice(1 - SLOTS), medianOf(this.#values)]
      this.#usualLx = this.#before.length < LEAST_SLOTS ? NaN : Math.max(...this.#before)
      this.#open = slot
      this.#values = []
    }
    if (this.#values.length < 10) this.#values.push(lightLx)
  }

  /** `null` while it shines as it did. */
  get brightening(): Brightening | null {
    const bright = this.#since
    if (bright === null || bright.newestMs - bright.atMs < LASTS_MS) return null
    return { sinceMs: bright.atMs, ratio: medianOf(bright.last) / bright.fromLx }
  }

  /** As bright for long: that is what it gives now. */
  #forget(): void {
    this.#since = null
    this.#before = []
    this.#values = []
    this.#open = this.#usualLx = NaN
  }
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? NaN
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? upper) + upper) / 2
}
