import type { Interval } from './interval.ts'

/**
 * Between which numbers the cysts of a gram lie: a dry cyst of 3.64 µg (Clegg) makes 275,000, a counted product had 252,678. Half of
 * that, and twice of it, are strains, shells and dirt (own choice): beyond, a volume or the grams are not what they are taken for.
 */
export const CYSTS_A_GRAM = { least: 125_000, most: 550_000 } as const

/**
 * The share that hatched and the nauplii of a gram are two sights of the same cysts: nauplii of a gram = cysts of a gram × share. A
 * word where both cannot be so, and why that mostly is; empty where they agree or one of them is not known.
 */
export function sharesAgree(hatchPercentage: Interval | null, naupliiPerG: Interval): string {
  if (hatchPercentage === null || hatchPercentage.best === 0) return ''
  const cysts = (perG: number, percent: number) => (100 * perG) / percent
  const most = hatchPercentage.low > 0 ? cysts(naupliiPerG.high, hatchPercentage.low) : Infinity
  const least = cysts(naupliiPerG.low, hatchPercentage.high)
  if (most >= CYSTS_A_GRAM.least && least <= CYSTS_A_GRAM.most) return ''
  const best = Number(cysts(naupliiPerG.best, hatchPercentage.best).toPrecision(2)).toLocaleString('en-US')
  const percent = Math.round(hatchPercentage.best)
  const usual = CYSTS_A_GRAM.least.toLocaleString('en-US')
  const cause =
    most < CYSTS_A_GRAM.least
      ? 'Was this really taken from the whole vessel, stirred, with as many litres and grams as are written down? If some of it was drawn off before, the share is of what was left.'
      : 'Look at the millilitres, the dilution and the grams again, and whether it was taken from what was drawn off.'
  return ` ${percent} % hatched and so many from a gram do not go together: a gram would hold ${best} cysts, and it holds ${most < CYSTS_A_GRAM.least ? `more than ${usual}` : `less than ${CYSTS_A_GRAM.most.toLocaleString('en-US')}`}. ${cause}`
}
