/** Grams in a level teaspoon of dry cysts: about, from memory; cysts pack differently, so weighing is better. */
export const CYST_TEASPOON_G = 3
/** Grams in a tablespoon of granular salt: the middle of the trade's 15-18 g. Common practice, no source. */
export const SALT_TABLESPOON_G = 16.5

const QUARTERS = ['', '¼', '½', '¾']

/** A kitchen measure to the quarter: `1½ teaspoons`, `¼ teaspoon`, `less than ¼ teaspoon`. */
export function spoons(count: number, name: 'teaspoon' | 'tablespoon'): string {
  const quarters = Math.round(count * 4)
  if (quarters < 1) return `less than ¼ ${name}`
  const whole = Math.floor(quarters / 4)
  const text = `${whole === 0 ? '' : whole}${QUARTERS[quarters % 4] ?? ''}`
  return `${text} ${name}${quarters > 4 ? 's' : ''}`
}

export const cystSpoons = (cystsG: number): string => spoons(cystsG / CYST_TEASPOON_G, 'teaspoon')
export const saltSpoons = (saltG: number): string => spoons(saltG / SALT_TABLESPOON_G, 'tablespoon')

/** Litres a minute: two digits below one, one above. */
export function airText(airLpm: number): string {
  return `${airLpm.toFixed(airLpm < 1 ? 2 : 1)} l/min`
}

/** Lux to two meaningful digits, so that noise does not flicker: `1,900 lx`. */
export function lightText(lightLx: number): string {
  if (lightLx < 10) return `${Math.max(0, Math.round(lightLx))} lx`
  const step = 10 ** (Math.floor(Math.log10(lightLx)) - 1)
  return `${(Math.round(lightLx / step) * step).toLocaleString('en-US')} lx`
}

/** Litres without needless zeros: `0.75 L`, `2 L`. */
export const litresText = (litres: number): string => `${Number(litres.toFixed(2))} L`
/** Grams likewise. */
export const gramsText = (grams: number): string => `${Number(grams.toFixed(1))} g`
