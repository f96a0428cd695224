import { mostCystsGpl } from './cysts.ts'

/** Which way something off shifts the hatch. `none`: a source found no effect. `unknown`: no source says. */
export const Direction = {
  none: 'none',
  fewer: 'fewer',
  later: 'later',
  paused: 'paused',
  dead: 'dead',
  unknown: 'unknown',
} as const
export type Direction = (typeof Direction)[keyof typeof Direction]

/** What one deviation does to the hatch, no further than a source goes. */
export interface Effect {
  readonly id: string
  /** When it is so: `Salt at 5 g/L instead of 35`. */
  readonly when: string
  readonly direction: Direction
  /** Share of the cysts that hatches without and with the deviation; `null` where no source gives a figure. */
  readonly from: number | null
  readonly to: number | null
  /** `null` when there is none but common practice. */
  readonly source: string | null
  readonly words: string
  /** True when it concerns what was asked for: on this side of what is best, if not at this very figure. */
  readonly applies: boolean
}

/** How a batch is set up and kept, as far as it is known. */
export interface Conditions {
  readonly litres: number
  readonly salinityGpl: number
  readonly cystsGpl: number
  readonly waterC?: number
  readonly pH?: number
  /** Whether the first hours are lit. */
  readonly lit?: boolean
}

const HANDBOOK =
  'Freshwater-prawn farming handbook, after Lavens & Sorgeloos 1996, FAO Fisheries Technical Paper 361'
const FAO_428 = 'New 2002, FAO Fisheries Technical Paper 428, Annex 4'
const NO_FIGURE = 'No source gives a figure.'

const EFFECTS: readonly (Omit<Effect, 'applies'> & { readonly is: (of: Conditions) => boolean })[] = [
  {
    id: 'salt-plateau',
    when: 'Salt from 20 to 35 g/L',
    direction: Direction.none,
    from: null,
    to: null,
    source: HANDBOOK,
    words: 'The plateau: it hatches alike.',
    is: ({ salinityGpl }) => salinityGpl >= 20 && salinityGpl <= 35,
  },
  {
    id: 'salt-low',
    when: 'Salt at 5 g/L instead of 35',
    direction: Direction.fewer,
    from: 0.67,
    to: 0.33,
    source: 'Suneetha, Padmavathi & Chatla, Acta Biologica Turcica',
    words: '67.0 ± 1.2 % hatched at 35 g/L and 33.0 ± 4.5 % at 5. Nothing is said of what lies between.',
    is: ({ salinityGpl }) => salinityGpl < 20,
  },
  {
    id: 'salt-low-other',
    when: 'The same in other cysts',
    direction: Direction.none,
    from: null,
    to: null,
    source: 'Eslava-Eljaiek, Wedler & Serna-Macias 2011',
    words: 'Another population hatched alike from 5 to 30 g/L: it depends on the cysts.',
    is: ({ salinityGpl }) => salinityGpl >= 5 && salinityGpl < 20,
  },
  {
    id: 'salt-high',
    when: 'Salt above 35 g/L',
    direction: Direction.unknown,
    from: null,
    to: null,
    source: HANDBOOK,
    words: `Past what is called the best, 5 to 35 g/L. ${NO_FIGURE}`,
    is: ({ salinityGpl }) => salinityGpl > 35 && salinityGpl < 85,
  },
  {
    id: 'salt-too-high',
    when: 'Salt above 85 to 90 g/L',
    direction: Direction.dead,
    from: null,
    to: 0,
    source: HANDBOOK,
    words: 'Cysts cannot take up the water that they need to hatch.',
    is: ({ salinityGpl }) => salinityGpl >= 85,
  },
  {
    id: 'cysts-dense',
    when: 'More cysts than 5 g/L (2 g/L from 20 L on)',
    direction: Direction.fewer,
    from: null,
    to: null,
    source: HANDBOOK,
    words: `Too many lower the hatch, and use up the air sooner. ${NO_FIGURE}`,
    is: ({ litres, cystsGpl }) => cystsGpl > mostCystsGpl(litres),
  },
  {
    id: 'ph-low',
    when: 'pH below 8',
    direction: Direction.fewer,
    from: null,
    to: null,
    source: HANDBOOK,
    words: `It must stay above 8. ${NO_FIGURE}`,
    is: ({ pH }) => pH !== undefined && pH < 8,
  },
  {
    id: 'cool',
    when: 'Water below 25 °C (77 °F)',
    direction: Direction.later,
    from: null,
    to: null,
    source: FAO_428,
    words: 'Slower, not fewer: the share that hatches is unaffected from 4 to about 33 °C (39 to 91 °F).',
    is: ({ waterC }) => waterC !== undefined && waterC < 25,
  },
  {
    id: 'hot',
    when: 'Water above 30 °C (86 °F)',
    direction: Direction.unknown,
    from: null,
    to: null,
    source: 'Published for two strains; they disagree',
    words:
      'A. sinica declines above 30 °C, A. franciscana hatched well at 32 °C (90 °F). The trade keeps below 29.4 °C (85 °F).',
    is: ({ waterC }) => waterC !== undefined && waterC > 30 && waterC <= 33,
  },
  {
    id: 'too-hot',
    when: 'Water from 33 to 40 °C (91 to 104 °F)',
    direction: Direction.paused,
    from: null,
    to: null,
    source: FAO_428,
    words: 'Development stops. One handbook has it go on afterwards, another calls it lost.',
    is: ({ waterC }) => waterC !== undefined && waterC > 33 && waterC <= 40,
  },
  {
    id: 'deadly',
    when: 'Water above 40 °C (104 °F)',
    direction: Direction.dead,
    from: null,
    to: null,
    source: FAO_428,
    words: 'Embryos die.',
    is: ({ waterC }) => waterC !== undefined && waterC > 40,
  },
  {
    id: 'dark',
    when: 'Dark in the first hours',
    direction: Direction.fewer,
    from: null,
    to: null,
    source: 'Journal of Crustacean Biology, doi 10.1163/1937240x-00002454',
    words: `Light in the first hours, 6 h or less of it, sets off the whole hatch. ${NO_FIGURE}`,
    is: ({ lit }) => lit === false,
  },
]

/** Every known deviation, and which of them these conditions are. What is not known of the conditions never applies. */
export function deviationEffects(conditions: Conditions): Effect[] {
  return EFFECTS.map(({ is, ...effect }) => ({ ...effect, applies: is(conditions) }))
}
