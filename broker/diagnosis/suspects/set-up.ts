import { mostCystsGpl } from '../../hatch/recipe/cysts.ts'
import { CauseKind } from '../contract.ts'
import { fullLightHours, LIGHT_FOR_H, LIGHT_FROM_H } from '../model/situation.ts'
import { momentOf } from '../record/grid.ts'
import { AFTER_FAO_361, type Case, hoursWords, number, type Suspect } from './suspect.ts'

const HOUR_MS = 3_600_000
/** So much light in the first hours, as hours of full light, is enough to suspect nothing. A sensor stands off to the side: own choice. */
const ENOUGH_LIGHT_H = 1.5
/** Of the first hours so much must have been measured, h. */
const LIGHT_SEEN_H = 2
/** Of a dose that spoons and bottles gave, so much over the most is not over it. */
const DOSE_SLACK = 1.05
/** A strip or meter is off by about this, pH. Own choice. */
const PH_SLACK = 0.1

/** Darkness while light sets off the hatch. */
export function darkAtFirst({ record, input }: Case): Suspect | null {
  const { hours, seenH } = fullLightHours(record.light)
  if (seenH < LIGHT_SEEN_H || hours >= ENOUGH_LIGHT_H) return null
  const meanLx = (hours / LIGHT_FOR_H) * 2000
  const fromMs = input.batch.startedAtMs + LIGHT_FROM_H * HOUR_MS
  const toMs = Math.min(fromMs + LIGHT_FOR_H * HOUR_MS, momentOf(record.grid, record.grid.cells))
  return {
    kind: CauseKind.dark,
    words: `It was dark in the first hours: about ${Math.round(meanLx)} lx from 1 to 7 h after the start, where some 2,000 are asked for.`,
    evidence: [
      {
        role: 'light',
        spans: [{ fromMs, toMs }],
        value: meanLx,
        limit: 2000,
        unit: 'lx',
        source: `About 2,000 lx at the surface in the first hours after hydration (${AFTER_FAO_361}); 6 h of light or less set off the whole hatch (Journal of Crustacean Biology, doi 10.1163/1937240x-00002454)`,
        words: `As much as ${hoursWords(hours)} of full light.`,
      },
    ],
    real: meanLx < 250 ? 0.95 : 0.9,
    change:
      'Leave the light on from the start, at least for the first six hours, as near as its heat allows.',
  }
}

/** More cysts than the vessel should get. */
export function tooDense({ input }: Case): Suspect | null {
  const { litres, cystsG } = input.batch
  const gpl = cystsG / litres
  const most = mostCystsGpl(litres)
  if (gpl <= most * DOSE_SLACK) return null
  return {
    kind: CauseKind.tooDense,
    words: `Too many cysts from the start: ${number(gpl)} g/L, where ${most} are the most.`,
    evidence: [
      {
        role: null,
        spans: [],
        value: gpl,
        limit: most,
        unit: 'g/l',
        source: `Up to 5 g/L below 20 L, otherwise 2 (${AFTER_FAO_361}; New 2002, FAO 428, Annex 4). How much fewer hatch no source says`,
        words: `${number(cystsG)} g in ${number(litres)} L.`,
      },
    ],
    real: 0.97,
    change: `Take ${number(most * litres)} g or less, and start a second vessel for the rest.`,
  }
}

/** The salinity as it was measured last, or as it was to be. */
export function salinityOf({ input }: Case): { readonly gpl: number; readonly isMeasured: boolean } {
  const measured = input.written.salinity?.at(-1)
  return measured === undefined
    ? { gpl: input.batch.salinityGpl, isMeasured: false }
    : { gpl: measured.gpl, isMeasured: true }
}

export function saltOff(of: Case): Suspect | null {
  const { gpl, isMeasured } = salinityOf(of)
  if (gpl >= 20 && gpl <= 36) return null
  const [limit, source] =
    gpl < 20
      ? ([
          20,
          `Plateau of 20 to 35 g/L, best from 5 to 35 (${AFTER_FAO_361}). At 5 g/L 33.0 instead of 67.0 % hatched (Suneetha, Padmavathi & Chatla, Acta Biologica Turcica), in another population alike (Eslava-Eljaiek et al. 2011)`,
        ] as const)
      : ([
          35,
          `Best from 5 to 35 g/L; above 85 to 90 cysts cannot take up water (${AFTER_FAO_361}). Between them no source has a figure`,
        ] as const)
  return {
    kind: CauseKind.salinityOff,
    words: `The water was too ${gpl < 20 ? 'fresh' : 'salty'} from the start: ${number(gpl)} g/L${isMeasured ? ' as measured' : ''}, where 20 to 35 are right.`,
    evidence: [
      {
        role: null,
        spans: [],
        value: gpl,
        limit,
        unit: 'g/l',
        source,
        words: isMeasured ? 'Measured by hand.' : 'As written down at the start; not measured.',
      },
    ],
    // From 5 to 20 g/l sources disagree whether it matters at all.
    real: gpl < 5 || gpl > 36 ? 0.95 : 0.5,
    change: 'Weigh the salt for 25 g/L, and measure it before the cysts go in.',
  }
}

export function lowestPH({ input }: Case): { readonly atMs: number; readonly pH: number } | null {
  const measured = input.written.pH ?? []
  return measured.length === 0 ? null : measured.reduce((a, b) => (b.pH < a.pH ? b : a))
}

export function pHOff(of: Case): Suspect | null {
  const lowest = lowestPH(of)
  if (lowest === null || lowest.pH >= 8 - PH_SLACK) return null
  const hours = (lowest.atMs - of.input.batch.startedAtMs) / HOUR_MS
  return {
    kind: CauseKind.phOff,
    words: `The water was too sour: pH ${number(lowest.pH)} ${afterText(hours)}, where it must stay above 8.`,
    evidence: [
      {
        role: null,
        spans: [],
        value: lowest.pH,
        limit: 8,
        unit: 'pH',
        source: `It must stay above 8 (${AFTER_FAO_361}). How much fewer hatch no source says`,
        words: 'Measured by hand.',
      },
    ],
    real: 0.9,
    change:
      'Stir in 1 g of baking soda a litre (a level quarter of a teaspoon) before the cysts, and measure: pH 8.0 to 8.5.',
  }
}

/** `12 min after the start`, `3.5 h after the start`; what was measured before it was measured at the start. */
function afterText(hours: number): string {
  if (hours <= 0) return 'at the start'
  return `${hours < 1 ? `${Math.max(1, Math.round(60 * hours))} min` : `${number(hours)} h`} after the start`
}
