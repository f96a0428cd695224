import { quickShare } from '../normal.ts'
import { UMBRELLA_FROM } from '../population/stages.ts'
import type { BatchEvidence, NaupliiCounted } from './evidence.ts'
import { lnAlone, lnSlipAgainstSound, mostAlone } from './alone.ts'
import { HARVESTED_BLIND, SEEN_TO_BE_OUT } from './batch-effect.ts'
import { CYSTS_PER_G } from './lot.ts'

/**
 * What the samples of one count together differ by from the vessel, beyond chance: nauplii, shells and cysts never quite mix. Six
 * samples that are each off by some 15 % leave 6 %; so however many are counted, a count is worth no more than 280. Own choice.
 */
export const SAMPLING_SD = 0.06
/** A share that may be out of the model's reckoning at any time: strays, misread stages. Own choice. */
const STRAY = 0.001

const LN_UMBRELLA_FROM = UMBRELLA_FROM.map(Math.log)

/** One count made ready: by what it depends on, and how much it weighs. */
export interface ReadyCount {
  readonly lnDegH: number
  /** Effective numbers, after what sampling is worth. */
  readonly nauplii: number
  readonly umbrella: number | null
  readonly embryos: number | null
  /** Cysts that the sampled water held when they were poured in, for a count of nauplii alone. */
  readonly cystsSampled: number
  readonly harvest: boolean
}

export function readyCount(item: NaupliiCounted, { cystsG, litres }: BatchEvidence): ReadyCount {
  const { nauplii, umbrella, embryos, sampledMl, degH, harvest } = item
  const total = nauplii + (umbrella ?? 0) + (embryos ?? 0)
  const worth = 1 / (1 + total * SAMPLING_SD * SAMPLING_SD)
  return {
    lnDegH: Math.log(Math.max(degH, 1e-3)),
    nauplii: nauplii * worth,
    umbrella: umbrella === null ? null : umbrella * worth,
    embryos: embryos === null ? null : embryos * worth,
    cystsSampled: ((cystsG * CYSTS_PER_G * sampledMl) / (1000 * litres)) * worth,
    harvest,
  }
}

/** What counts say at one median and spread, as a function of the share that hatches: logarithms to be summed up. */
export interface CountTerms {
  /** Does not depend on the share. */
  readonly constant: number
  /** Times ln of the share. */
  readonly perLnShare: number
  /** For each count of embryos: how many, and the share of the hatching that are out or hang out by then. */
  readonly unhatched: readonly { readonly number: number; readonly emerged: number }[]
  /** Of counts of nauplii alone: how many, and how many there would be if all cysts hatched. */
  readonly alone: number
  readonly aloneIfAll: number
  /** How much likelier a slip makes that number than sound volumes, apart from the mean. */
  readonly lnSlip: number
}

export function countTerms(counts: readonly ReadyCount[], lnMedian: number, sigma: number): CountTerms {
  let constant = 0
  let perLnShare = 0
  let alone = 0
  let aloneIfAll = 0
  const unhatched: { number: number; emerged: number }[] = []
  for (const { lnDegH, nauplii, umbrella, embryos, cystsSampled, harvest } of counts) {
    const z = (lnDegH - lnMedian) / sigma
    const hatched = STRAY + (1 - 2 * STRAY) * quickShare(z)
    constant += nauplii * Math.log(hatched)
    if (umbrella === null && embryos === null) {
      if (harvest) constant += lnLooked(hatched)
      alone += nauplii
      aloneIfAll += cystsSampled * hatched
      continue
    }
    const emerged = umbrella === null ? hatched : Math.max(hatched + STRAY / 2, emergedAt(z, sigma))
    if (umbrella !== null) constant += umbrella * Math.log(emerged - hatched)
    if (embryos === null) constant -= (nauplii + (umbrella ?? 0)) * Math.log(emerged)
    else {
      perLnShare += nauplii + (umbrella ?? 0)
      unhatched.push({ number: embryos, emerged: Math.min(emerged, 1) })
    }
  }
  const lnSlip = aloneIfAll > 0 ? lnSlipAgainstSound(alone) : 0
  return { constant, perLnShare: perLnShare + alone, unhatched, alone, aloneIfAll, lnSlip }
}

/** Whoever harvests has looked: while few are out a harvest is the less likely, the fewer they are. */
function lnLooked(hatched: number): number {
  return Math.log(HARVESTED_BLIND + (1 - HARVESTED_BLIND) * Math.min(1, hatched / SEEN_TO_BE_OUT) ** 2)
}

/** What the terms can come to at the most, whatever the share: what is left out of it is never above 0. */
export function mostOf({ constant, alone, aloneIfAll, lnSlip }: CountTerms): number {
  return aloneIfAll > 0 ? constant - alone * Math.log(aloneIfAll) + mostAlone(alone, lnSlip) : constant
}

/** How likely it is that the number counted alone is a slip's, where the share is so much. */
export function slipChance({ alone, aloneIfAll, lnSlip }: CountTerms, share: number): number {
  return aloneIfAll > 0 ? lnAlone(alone, share * aloneIfAll, lnSlip).slip : 0
}

function emergedAt(z: number, sigma: number): number {
  let sum = 0
  for (const ln of LN_UMBRELLA_FROM) sum += quickShare(z - ln / sigma)
  return STRAY + (1 - 2 * STRAY) * (sum / LN_UMBRELLA_FROM.length)
}

export function lnLikelihoodOf(terms: CountTerms, share: number, lnShare: number): number {
  const { alone, aloneIfAll, lnSlip } = terms
  let ln = terms.constant + terms.perLnShare * lnShare
  for (const { number, emerged } of terms.unhatched) ln += number * lnRest(share * emerged)
  return aloneIfAll > 0 ? ln + lnAlone(alone, share * aloneIfAll, lnSlip).ln : ln
}

const REST_CELLS = 2048
const LN_REST = Float64Array.from({ length: REST_CELLS + 2 }, (_, at) =>
  Math.log(Math.max(1 - at / REST_CELLS, STRAY)),
)

/** ln of what a share leaves, by a table: it is asked some ten thousand times a count, and good to 1e-4 up to 97 %. */
function lnRest(share: number): number {
  const place = share * REST_CELLS
  const at = Math.floor(place)
  const below = LN_REST[at] ?? 0
  return below + ((LN_REST[at + 1] ?? below) - below) * (place - at)
}
