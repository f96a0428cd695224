/**
 * The vessel's shape in drawing units: an inverted bottle with its bottom cut off, 200 wide and 290 high with lamp and
 * stand. All else that is drawn leans on these numbers.
 */
export const AXIS = 100
export const RIM_Y = 62
const SHOULDER_Y = 150
const NECK_Y = 246
export const TIP_Y = 264
const WALL = 56
const NECK = 11
/** Where the plank that carries the vessel has its upper edge, and how thick its face is. */
export const PLANK_Y = 190
export const PLANK_FACE = 15
/** What the picture shows of the drawing: x from, y from, width, height. */
export const PICTURE = { x: 30, y: 0, width: 140, height: 286 } as const
const STEP = 3

/** Half of the inner width at a height; 0 outside the vessel. */
export function halfWidth(y: number): number {
  if (y < RIM_Y || y > TIP_Y) return 0
  if (y <= SHOULDER_Y) return WALL
  if (y >= NECK_Y) return NECK
  const down = (y - SHOULDER_Y) / (NECK_Y - SHOULDER_Y)
  return NECK + (WALL - NECK) * (1 - down ** 1.25)
}

/** Volume below each step's height as a share of the whole, from the tip up. */
const filled = ((): { y: number; share: number }[] => {
  const steps: { y: number; share: number }[] = [{ y: TIP_Y, share: 0 }]
  let sum = 0
  for (let y = TIP_Y - 0.5; y >= RIM_Y; y--) {
    sum += halfWidth(y) ** 2
    steps.push({ y: y - 0.5, share: sum })
  }
  return steps.map(step => ({ y: step.y, share: step.share / sum }))
})()

/** How high the water stands when a share of the vessel's volume is in it: heights fall, as y grows downwards. */
export function levelY(share: number): number {
  const wanted = Math.min(1, Math.max(0, share))
  const above = filled.findIndex(step => step.share >= wanted)
  const high = filled[above]
  const low = filled[above - 1]
  if (!high) return RIM_Y
  if (!low) return high.y
  return low.y + ((high.y - low.y) * (wanted - low.share)) / (high.share - low.share)
}

/** The outline below `fromY`, as a path; `inset` draws it that much inside the glass. */
export function outline(fromY: number, inset = 0, closed = true): string {
  const right: string[] = []
  const left: string[] = []
  const endY = TIP_Y - inset / 2
  for (let y = fromY; y < endY + STEP; y += STEP) {
    const at = Math.min(y, endY)
    const half = Math.max(2, halfWidth(at) - inset)
    right.push(`${round(AXIS + half)} ${round(at)}`)
    left.push(`${round(AXIS - half)} ${round(at)}`)
    if (at === endY) break
  }
  return `M${left.join('L')}L${right.reverse().join('L')}${closed ? 'Z' : ''}`
}

const round = (value: number): number => Math.round(value * 10) / 10
