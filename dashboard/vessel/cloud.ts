import { MANY_UMBRELLAS } from '../words/hatch.ts'
import { AXIS, halfWidth, TIP_Y } from './geometry.ts'

/** One speck: a cyst drifts, a nauplius swims in short strokes. */
interface Speck {
  x: number
  y: number
  dx: number
  dy: number
}

export const MOST_NAUPLII = 130
export const MOST_CYSTS = 90
const WALL_GAP = 5

/** How many of the drawn cysts hang open as umbrellas: some once there are many (a share of the final number), none before. */
export function umbrellaCount(umbrellaShare: number, cysts: number): number {
  if (!(umbrellaShare >= MANY_UMBRELLAS)) return 0
  return Math.min(cysts, Math.round(MOST_CYSTS * Math.min(1, umbrellaShare)))
}

/** How many of each are drawn for a hatched share (0 to 1): cysts grow fewer as nauplii grow more. */
export function speckCounts(hatchedShare: number): { cysts: number; nauplii: number } {
  const share = Math.min(1, Math.max(0, hatchedShare))
  // A hatch is seen from its first nauplii on, so few already show.
  const nauplii = share < 0.005 ? 0 : Math.max(4, Math.round(MOST_NAUPLII * share ** 0.8))
  return { cysts: Math.round(MOST_CYSTS * (1 - 0.82 * share)), nauplii }
}

/** How high the cloud stands: from the tip at the first hatch to just below the surface when all are out. */
export function cloudTopY(hatchedShare: number, surfaceY: number): number {
  const share = Math.min(1, Math.max(0, hatchedShare))
  return TIP_Y - (TIP_Y - surfaceY - 8) * (0.3 + 0.7 * share ** 0.7) * (share < 0.005 ? 0 : 1)
}

/** The specks of one vessel. Nauplii keep inside the cloud, cysts use all the water while air stirs it. */
export class Cloud {
  readonly cysts: Speck[] = []
  readonly nauplii: Speck[] = []

  step(
    seconds: number,
    scene: { readonly hatchedShare: number; readonly surfaceY: number; readonly stirred: boolean },
    chance: () => number,
  ): void {
    const wanted = speckCounts(scene.hatchedShare)
    const topY = cloudTopY(scene.hatchedShare, scene.surfaceY)
    resize(this.cysts, wanted.cysts, () => born(scene.surfaceY + 6, TIP_Y - 8, chance))
    resize(this.nauplii, wanted.nauplii, () => born(topY, TIP_Y - 8, chance))
    for (const cyst of this.cysts) drift(cyst, seconds, scene.surfaceY, scene.stirred, chance)
    for (const nauplius of this.nauplii) swim(nauplius, seconds, topY, chance)
  }
}

function resize(specks: Speck[], count: number, make: () => Speck): void {
  while (specks.length > count) specks.pop()
  while (specks.length < count) specks.push(make())
}

/** Wider heights hold more water, so a place is drawn again until it lies inside the wall. */
function born(fromY: number, toY: number, chance: () => number): Speck {
  for (let tries = 0; tries < 12; tries++) {
    const y = fromY + (toY - fromY) * chance()
    const x = AXIS + (chance() - 0.5) * 112
    if (Math.abs(x - AXIS) < halfWidth(y) - WALL_GAP) return { x, y, dx: 0, dy: 0 }
  }
  return { x: AXIS, y: (fromY + toY) / 2, dx: 0, dy: 0 }
}

/** Air carries cysts round: up along the middle, down along the wall. Without it they stay where they are and settle. */
function drift(cyst: Speck, seconds: number, surfaceY: number, stirred: boolean, chance: () => number): void {
  if (stirred) {
    const outwards = Math.abs(cyst.x - AXIS) / Math.max(12, halfWidth(cyst.y))
    cyst.y += (outwards < 0.4 ? -26 : 17) * seconds
    cyst.x += (chance() - 0.5) * 34 * seconds
    if (cyst.y < surfaceY + 5) cyst.x += Math.sign(cyst.x - AXIS || 1) * 30 * seconds
    if (cyst.y > TIP_Y - 30) cyst.x += (AXIS - cyst.x) * 2 * seconds
  } else {
    cyst.y += (cyst.y < surfaceY + 14 ? -4 : 9) * seconds
  }
  keep(cyst, surfaceY + 2)
}

/** A stroke now and then, and a slow glide between: the jerky way a nauplius goes. */
function swim(nauplius: Speck, seconds: number, topY: number, chance: () => number): void {
  if (chance() < seconds * 2.2) {
    nauplius.dx += (chance() - 0.5) * 46
    nauplius.dy += (chance() - 0.54) * 40
  }
  const glide = Math.exp(-seconds * 3)
  nauplius.dx *= glide
  nauplius.dy *= glide
  nauplius.x += nauplius.dx * seconds
  nauplius.y += nauplius.dy * seconds
  keep(nauplius, topY)
}

function keep(speck: Speck, topY: number): void {
  speck.y = Math.min(TIP_Y - 4, Math.max(topY, speck.y))
  const room = Math.max(1, halfWidth(speck.y) - WALL_GAP)
  speck.x = Math.min(AXIS + room, Math.max(AXIS - room, speck.x))
}
