import {
  CYST_SPOON,
  SALT_SPOON,
  spoonsOf,
  TOO_LITTLE,
  weighedSpoon,
  type Spoon,
} from '../../broker/hatch/recipe/spoons.ts'

/** The person's own spoon where it was weighed, else the usual one. */
const own = (spoon: Spoon, ownG: number | null): Spoon => (ownG === null ? spoon : weighedSpoon(spoon, ownG))

/** Cysts as level spoons: `½ teaspoon`. */
export const cystSpoons = (cystsG: number, ownG: number | null = null): string =>
  spoonsOf(cystsG, own(CYST_SPOON, ownG))
/** Salt as level spoons: `1¾ tablespoons`. */
export const saltSpoons = (saltG: number, ownG: number | null = null): string =>
  spoonsOf(saltG, own(SALT_SPOON, ownG))

/** The same within a sentence: `about ½ teaspoon`; what no spoon measures is not about anything. */
export const about = (spoons: string): string =>
  spoons === TOO_LITTLE || spoons.startsWith('between') ? spoons : `about ${spoons}`

/** Litres a minute, always with two decimals: a number of decimals that changes at one flickers. */
export function airText(airLpm: number): string {
  return `${airLpm.toFixed(2)} l/min`
}

/** Lux to two meaningful digits, so that noise does not flicker: `1,900 lx`. */
export function lightText(lightLx: number): string {
  if (lightLx < 10) return `${Math.max(0, Math.round(lightLx))} lx`
  const step = 10 ** (Math.floor(Math.log10(lightLx)) - 1)
  return `${(Math.round(lightLx / step) * step).toLocaleString('en-US')} lx`
}

/** How high the water stands: `80 % of full`. */
export const levelText = (share: number): string => `${Math.max(0, Math.round(100 * share))} % of full`

/** Litres without needless zeros: `0.75 L`, `2 L`. */
export const litresText = (litres: number): string => `${Number(litres.toFixed(2))} L`
/** Grams likewise: to tenths, and hundredths below one. */
export const gramsText = (grams: number): string => `${scaleGrams(grams)} g`
/** Grams as a scale for powders shows them: tenths, and hundredths below one. */
export const scaleGrams = (grams: number): string => String(Number(grams.toFixed(grams < 1 ? 2 : 1)))
