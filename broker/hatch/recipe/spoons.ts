/** Kitchen measures. A spoon is always level: struck off with the back of a knife. */

export type SpoonSize = 'tablespoon' | 'teaspoon'

/** How much a level spoon of something holds, grams. */
export interface Spoon {
  readonly size: SpoonSize
  readonly grams: number
  /** What it may as well be; the same as `grams` when the person has weighed their own. */
  readonly lowG: number
  readonly highG: number
}

/** Granular salt: 15 to 18 g a tablespoon. Common practice, no source. */
export const SALT_SPOON: Spoon = { size: 'tablespoon', grams: 16.5, lowG: 15, highG: 18 }
/** Dry cysts: about 3 g a teaspoon, from memory; the range is our own guess. They pack differently: weigh them. */
export const CYST_SPOON: Spoon = { size: 'teaspoon', grams: 3, lowG: 2.5, highG: 3.5 }
/** Baking soda: 4.6 g a teaspoon is what food tables give (USDA, read in a secondary place); 4 to 6 g are found. */
export const SODA_SPOON: Spoon = { size: 'teaspoon', grams: 4.6, lowG: 4, highG: 6 }

/** The same spoon, weighed by the person: no doubt is left. */
export const weighedSpoon = (spoon: Spoon, grams: number): Spoon => ({
  size: spoon.size,
  grams,
  lowG: grams,
  highG: grams,
})

/** By definition of the kitchen's measures. */
const TEASPOONS_IN_A_TABLESPOON = 3
/** Less than this of a tablespoon is measured in teaspoons. */
const TOO_LITTLE_FOR_A_TABLESPOON = 0.5

/** An amount as spoons: to the quarter, and below a whole one to the eighth, which is what sets of measuring spoons have. */
export interface Measure {
  readonly size: SpoonSize
  /** Quarters of a spoon, and half ones for eighths; 0 when it is less than that and has to be weighed. */
  readonly quarters: number
  /** What so many spoons weigh, grams. */
  readonly grams: number
  readonly lowG: number
  readonly highG: number
}

/** The spoons that come nearest to some grams. */
export function measure(grams: number, spoon: Spoon): Measure {
  const fine = spoon.size === 'tablespoon' && grams < TOO_LITTLE_FOR_A_TABLESPOON * spoon.grams
  const size: SpoonSize = fine ? 'teaspoon' : spoon.size
  const part = fine ? 1 / TEASPOONS_IN_A_TABLESPOON : 1
  const quarters = nearest((grams / (spoon.grams * part)) * 4)
  const spoons = (quarters / 4) * part
  return {
    size,
    quarters,
    grams: spoons * spoon.grams,
    lowG: spoons * spoon.lowG,
    highG: spoons * spoon.highG,
  }
}

const EIGHTH = 0.5
/** Below one spoon an eighth matters: a quarter for three eighths would be a third too little. */
function nearest(quarters: number): number {
  const eighths = Math.round(quarters / EIGHTH) * EIGHTH
  return eighths < 4 ? eighths : Math.round(quarters)
}

const QUARTERS = ['', '¼', '½', '¾']

/** `1½ teaspoons`, `¼ tablespoon`, `¼ + ⅛ teaspoon`, `less than ⅛ teaspoon`. */
export function spoonsText({ size, quarters }: Pick<Measure, 'size' | 'quarters'>): string {
  if (quarters === 0) return `less than ⅛ ${size}`
  if (quarters === EIGHTH) return `⅛ ${size}`
  const whole = Math.floor(quarters / 4)
  const eighth = quarters % 1 === 0 ? '' : ' + ⅛'
  return `${whole === 0 ? '' : whole}${QUARTERS[Math.floor(quarters % 4)] ?? ''}${eighth} ${size}${quarters > 4 ? 's' : ''}`
}

export const TOO_LITTLE = 'too little for a spoon: weigh it'
/** Spoons that are off by a larger share are not named alone. Own choice: what a spoon of cysts is doubtful by anyway. */
const OFF_UNSAID = 0.15

/**
 * Grams as the spoons that come nearest; where they are off by more than a spoon is doubtful by anyway, the two that it lies between:
 * `between ⅛ and ¼ teaspoon`. What lies clearly below the smallest spoon has to be weighed.
 */
export function spoonsOf(grams: number, spoon: Spoon): string {
  return followed(measure(grams, spoon), grams, spoonsText)
}

/** Spoons to follow, in the words for those that are near enough. */
export function followed(near: Measure, grams: number, words: (near: Measure) => string): string {
  if (near.quarters === 0) return TOO_LITTLE
  const off = near.grams / grams - 1
  if (Math.abs(off) <= OFF_UNSAID + 1e-9) return words(near)
  const less = off < 0 ? near.quarters : near.quarters - EIGHTH
  if (less <= 0) return TOO_LITTLE
  const [low = '', high] = [less, less + EIGHTH].map(quarters => spoonsText({ ...near, quarters }))
  return `between ${low.replace(` ${near.size}`, '')} and ${high}`
}

/** With what they weigh: `2 tablespoons (30–36 g)`; a weighed spoon leaves no range: `2 tablespoons (33 g)`. */
export function measureText(measure: Measure): string {
  if (measure.quarters === 0) return spoonsText(measure)
  const low = gramsWord(measure.lowG)
  const high = gramsWord(measure.highG)
  return `${spoonsText(measure)} (${low === high ? low : `${low}–${high}`} g)`
}

/** Grams as a kitchen scale shows them: tenths below 10, whole ones above. */
export function gramsWord(grams: number): string {
  return String(Number(grams.toFixed(grams < 9.95 ? 1 : 0)))
}
