import { followed, spoonsText, TOO_LITTLE, type Measure } from './spoons.ts'

/** One thing to do, in the order of doing. */
export interface Step {
  readonly id: 'air' | 'water' | 'salt' | 'buffer' | 'warm' | 'cysts' | 'ring'
  readonly words: string
}

/** What is to be minded while doing it. */
export interface Caution {
  readonly id: 'mains' | 'air-first' | 'lamp' | 'dust'
  readonly words: string
}

interface Amounts {
  readonly litres: number
  readonly waterL: number
  readonly salt: { readonly grams: number; readonly measure: Measure }
  readonly buffer: { readonly grams: number; readonly measure: Measure } | null
  readonly cysts: { readonly grams: number; readonly measure: Measure }
}

/** The steps of setting up a vessel: common practice of the trade, the amounts from the recipe. */
export function stepsOf({ litres, waterL, salt, buffer, cysts }: Amounts): Step[] {
  const steps: Step[] = [
    {
      id: 'air',
      words:
        'Start the air, or shut its line. The outlet is at the bottom: without either, water runs into it.',
    },
    {
      id: 'water',
      words: `Pour in fresh water of about 27 °C (80 °F): ${Number(waterL.toPrecision(3))} L for now, a little less than in the end.`,
    },
  ]
  if (salt.grams > 0)
    steps.push({
      id: 'salt',
      words: `Stir in the salt, ${amount(salt)}, until none is left to see. Fill up to the ${litresWord(litres)} mark.`,
    })
  if (buffer)
    steps.push({ id: 'buffer', words: `Stir in the baking soda, ${amount(buffer)}. Aim at pH 8.0 to 8.5.` })
  steps.push(
    {
      id: 'warm',
      words: 'Lamp on, air on, both for the whole time. Wait for 26.7 to 27.8 °C (80 to 82 °F) in the water.',
    },
    {
      id: 'cysts',
      words: `Tip in the cysts, ${amount(cysts)}, and note the time. Close their tin at once: they are kept dry.`,
    },
    { id: 'ring', words: 'After 4 to 6 h knock the ring of cysts that sticks above the water back down.' },
  )
  return steps
}

/** Mains beside salt water, and the rest that can hurt. */
export const CAUTIONS: readonly Caution[] = [
  {
    id: 'mains',
    words:
      'Mains beside salt water: a residual-current device before everything, a drip loop in every cable, dry hands at the plug.',
  },
  {
    id: 'air-first',
    words:
      'Air before water, and a check valve in its line or the pump above the water, so that a power cut does not drain the vessel into the pump.',
  },
  {
    id: 'lamp',
    words: 'A hot lamp melts or shatters plastic and starts fires: fix it, guard it, keep it off the splash.',
  },
  { id: 'dust', words: 'Cyst dust is an allergen: tip low and slowly, do not breathe it in, wipe up wet.' },
]

const amount = ({ grams, measure }: { grams: number; measure: Measure }): string =>
  [`${scaleGrams(grams)} g`, followed(measure, grams, spoonsText)]
    .filter(words => words !== TOO_LITTLE)
    .join(' or ')

/** Grams to a tenth, which is what a kitchen scale for powders shows; a hundredth below one. */
const scaleGrams = (grams: number): string => String(Number(grams.toFixed(grams < 1 ? 2 : 1)))
/** To 10 mL: no mark on a bottle is finer. */
const litresWord = (litres: number): string => `${Number(litres.toFixed(2))} L`
