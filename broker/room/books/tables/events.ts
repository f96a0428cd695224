import { z } from 'zod'
import {
  COUNTED_AT_MOST,
  DILUTED_AT_MOST,
  DRAWN_OFF_ML_AT_MOST,
  SAMPLE_ML_AT_LEAST,
  SAMPLE_ML_AT_MOST,
} from '../../../hatch/counts/samples.ts'
import type { BatchEventRow, Store } from '../../../store/contract.ts'
import { Observation } from '../../observations.ts'

const counted = z.int().min(0).max(COUNTED_AT_MOST)

/** What an entry of a batch's log may say: what is brought in is checked like what is typed. */
export const EventBody = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('first-swimmers') }),
  z.object({
    kind: z.literal('count'),
    harvest: z.boolean(),
    drawnOffMl: z.number().min(SAMPLE_ML_AT_LEAST).max(DRAWN_OFF_ML_AT_MOST).optional(),
    samples: z
      .array(
        z.object({
          sampleMl: z.number().min(SAMPLE_ML_AT_LEAST).max(SAMPLE_ML_AT_MOST),
          dilution: z.number().min(1).max(DILUTED_AT_MOST).optional(),
          nauplii: counted,
          umbrella: counted.optional(),
          embryos: counted.optional(),
        }),
      )
      .min(1)
      .max(100),
  }),
  z.object({ kind: z.literal('note'), text: z.string().min(1).max(2000) }),
  Observation,
])

/** The logs of all batches, the oldest batch first. */
export async function eventsByBatch(store: Store): Promise<BatchEventRow[]> {
  const all: BatchEventRow[] = []
  for (const { id } of (await store.batches()).reverse()) all.push(...(await store.batchEvents(id)))
  return all
}
