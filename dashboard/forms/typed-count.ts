import {
  DILUTED_AT_MOST,
  DRAWN_OFF_ML_AT_MOST,
  SAMPLE_ML_AT_MOST,
} from '../../broker/hatch/counts/samples.ts'
import type { NewBatchEvent } from '../../broker/web/api/events.ts'
import { lastTyped } from '../state/preferences.ts'
import { readNumber } from './form.ts'
import { type Counted, countedToo, readCount } from './tally.ts'

export type Sample = Extract<NewBatchEvent, { kind: 'count' }>['samples'][number]

/** What samples were taken from. */
export type From = 'vessel' | 'drawn-off'

/** All that stands in the form of a count: it is kept as it is typed, so that a closed browser brings all of it back. */
export interface TypedCount {
  readonly samples: readonly Sample[]
  /** What stands in the counters of the sample under the lens. */
  readonly counts: Readonly<Record<Counted, string>>
  /** Whether umbrellas and unhatched cysts are counted too. */
  readonly more: boolean
  readonly sampleMl: string
  readonly dilution: string
  readonly from: From
  readonly drawnOffMl: string
  readonly harvest: boolean
  readonly earlier: boolean
  readonly at: string
}

export const NO_COUNTS: TypedCount['counts'] = { nauplii: '', umbrella: '', embryos: '' }
/** The trade's pipette, mL; common practice, no source. */
const SAMPLE_ML = '1'

/** An empty form: at the harvest it is what was drawn off that is counted. */
export const newCount = (atHarvest: boolean): TypedCount => ({
  samples: [],
  counts: NO_COUNTS,
  more: false,
  sampleMl: lastTyped('sampleMl') ?? SAMPLE_ML,
  dilution: lastTyped('dilution') ?? '1',
  from: atHarvest ? 'drawn-off' : 'vessel',
  drawnOffMl: '',
  harvest: atHarvest,
  earlier: false,
  at: '',
})

/** Whether anything was counted in the sample under the lens: a zero that was typed is a count, too. */
export const isCounting = ({ counts }: TypedCount): boolean =>
  Object.values(counts).some(text => text.trim() !== '')

/** All that was drawn off, mL; `undefined` where the vessel was sampled, and after filling `wrong` for what is no volume. */
export function readDrawnOff(
  { from, drawnOffMl }: Pick<TypedCount, 'from' | 'drawnOffMl'>,
  wrong: Map<string, string>,
): number | undefined {
  if (from === 'vessel') return undefined
  const ml = readNumber(drawnOffMl)
  if (ml !== null && ml > 0 && ml <= DRAWN_OFF_ML_AT_MOST) return ml
  wrong.set('drawnOffMl', 'Write how many millilitres were drawn off in all: the count is multiplied by it.')
  return undefined
}

/** The sample under the lens; `null` after filling `wrong` with what is wrong with it. */
export function readSample(typed: TypedCount, wrong: Map<string, string>): Sample | null {
  const sampleMl = readNumber(typed.sampleMl)
  const dilution = readNumber(typed.dilution)
  if (sampleMl === null || sampleMl <= 0 || sampleMl > SAMPLE_ML_AT_MOST)
    wrong.set('sampleMl', 'Write the millilitres that were counted, above 0.')
  if (dilution === null || dilution < 1 || dilution > DILUTED_AT_MOST)
    wrong.set('dilution', 'Write 1 for no dilution, or how many times.')
  const count = (what: Counted): number => {
    const read = readCount(typed.counts[what])
    if (read === null) wrong.set(what, 'Write a whole number.')
    return read ?? 0
  }
  const nauplii = count('nauplii')
  const also = typed.more && typed.from === 'vessel' ? countedToo(typed.counts, count) : {}
  if (wrong.size > 0 || sampleMl === null || dilution === null) return null
  return { sampleMl, ...(dilution === 1 ? {} : { dilution }), nauplii, ...also }
}

/** Samples of what was drawn off tell nothing of what did not hatch: what was counted of that before is left out. */
export const samplesFor = (from: From, samples: readonly Sample[]): readonly Sample[] =>
  from === 'vessel'
    ? samples
    : samples.map(({ sampleMl, dilution, nauplii }) => ({
        sampleMl,
        ...(dilution === undefined ? {} : { dilution }),
        nauplii,
      }))
