import { AXIS, halfWidth, TIP_Y } from './geometry.ts'

/** One bubble on its way up. */
interface Bubble {
  x: number
  y: number
  radius: number
  /** Where it is in its sway, radians. */
  sway: number
}

const MOST = 46
const RISE_PER_S = 62

/** Bubbles a second for a flow: none at none, dense at what keeps a vessel in suspension, never a wall of them. */
export function bubbleRate(airLpmPerLitre: number): number {
  if (!(airLpmPerLitre > 0)) return 0
  return Math.min(22, 4 + 26 * Math.min(1, airLpmPerLitre))
}

/** The bubbles of one vessel. Chance is an argument, so that a test can decide it. */
export class Bubbles {
  readonly list: Bubble[] = []
  #owed = 0

  /** Moves on by `seconds`; new ones start at the tip, old ones end at the surface. */
  step(seconds: number, rate: number, surfaceY: number, chance: () => number): void {
    this.#owed += rate * seconds
    while (this.#owed >= 1) {
      this.#owed -= 1
      if (this.list.length >= MOST) continue
      this.list.push({
        x: AXIS + (chance() - 0.5) * 8,
        y: TIP_Y - 10 - chance() * 6,
        radius: 1.3 + chance() * 2.1,
        sway: chance() * Math.PI * 2,
      })
    }
    for (let index = this.list.length - 1; index >= 0; index--) {
      const bubble = this.list[index]
      if (!bubble) continue
      bubble.y -= (RISE_PER_S + bubble.radius * 9) * seconds
      bubble.sway += seconds * 5
      const room = halfWidth(bubble.y) - bubble.radius - 4
      const drift = bubble.x - AXIS
      // The plume widens as it rises, each bubble keeping its side.
      const spread = Math.sign(drift || 1) * 7 * seconds * (1 + Math.abs(drift) / 12)
      bubble.x = clamp(bubble.x + spread + Math.cos(bubble.sway) * 14 * seconds, AXIS - room, AXIS + room)
      if (bubble.y - bubble.radius < surfaceY) this.list.splice(index, 1)
    }
  }
}

const clamp = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value))
