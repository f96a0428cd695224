import {
  COUNTED_AT_MOST,
  DILUTED_AT_MOST,
  DRAWN_OFF_ML_AT_MOST,
  SAMPLE_ML_AT_LEAST,
  SAMPLE_ML_AT_MOST,
} from '../../../hatch/counts/samples.ts'
import type { BatchEventRow } from '../../../store/contract.ts'
import type { CountSample } from '../../event-contract.ts'
import type { BookParts } from '../parts.ts'
import { RowError, Taken, type Column, type Row, type Table } from './contract.ts'
import { eventsByBatch } from './events.ts'

const counted = (key: string, optional = false): Column => ({
  key,
  type: 'whole',
  unit: 'count',
  limits: { from: 0, to: COUNTED_AT_MOST },
  optional,
})
const COLUMNS: readonly Column[] = [
  { key: 'countId', type: 'text' },
  { key: 'batchId', type: 'text' },
  { key: 'at', type: 'time', unit: 'UTC' },
  { key: 'recordedAt', type: 'time', unit: 'UTC' },
  { key: 'by', type: 'text' },
  { key: 'harvest', type: 'flag' },
  { key: 'withdrawnAt', type: 'time', unit: 'UTC', optional: true },
  {
    key: 'drawnOff',
    type: 'number',
    unit: 'mL',
    limits: { from: SAMPLE_ML_AT_LEAST, to: DRAWN_OFF_ML_AT_MOST },
    optional: true,
  },
  { key: 'sample', type: 'whole', unit: 'number', limits: { from: 1, to: 100 } },
  {
    key: 'sampleMl',
    type: 'number',
    unit: 'mL',
    limits: { from: SAMPLE_ML_AT_LEAST, to: SAMPLE_ML_AT_MOST },
  },
  {
    key: 'dilution',
    type: 'number',
    unit: 'times',
    limits: { from: 1, to: DILUTED_AT_MOST },
    optional: true,
  },
  counted('nauplii'),
  counted('umbrella', true),
  counted('embryos', true),
]

interface CountBody {
  readonly harvest: boolean
  readonly drawnOffMl?: number
  readonly samples: readonly CountSample[]
}

/** A line for each sample that was counted: the log's counts once more, as a spreadsheet wants them. */
export function countTable({ store, room }: BookParts): Table {
  return {
    name: 'counts',
    about: 'counted samples, a line each',
    columns: COLUMNS,
    keyOf: ({ countId, sample }) => `${String(countId)} ${String(sample)}`,
    rows: async from => (await eventsByBatch(from)).filter(({ kind }) => kind === 'count').flatMap(rowsOf),
    async take(row) {
      const id = String(row['countId'])
      const batchId = String(row['batchId'])
      const known = (await store.batchEvents(batchId)).find(event => event.id === id)
      const samples = known ? bodyOf(known).samples : []
      const at = Number(row['sample']) - 1
      const wanted = sampleOf(row)
      const before = samples[at]
      if (before) {
        if (JSON.stringify(inOrder(before)) === JSON.stringify(inOrder(wanted))) return Taken.same
        throw new RowError(
          'Cannot take the sample: this count is here already, and its numbers differ here; what is here stays',
        )
      }
      if (at !== samples.length)
        throw new RowError(`Cannot take the sample: sample ${samples.length + 1} of this count comes first`)
      await room.adopt.event({
        id,
        batchId,
        atMs: Number(row['at']),
        recordedAtMs: Number(row['recordedAt']),
        by: String(row['by']),
        kind: 'count',
        json: JSON.stringify({
          harvest: row['harvest'] === true,
          ...drawnOff(row),
          samples: [...samples, wanted],
        }),
        withdrawnAtMs: row['withdrawnAt'] as number | null,
      })
      return Taken.added
    },
  }
}

const drawnOff = (row: Row) => (typeof row['drawnOff'] === 'number' ? { drawnOffMl: row['drawnOff'] } : {})

const bodyOf = ({ json }: BatchEventRow): CountBody => JSON.parse(json) as CountBody

function rowsOf(event: BatchEventRow): Row[] {
  const { harvest, drawnOffMl, samples } = bodyOf(event)
  return samples.map((sample, at) => ({
    countId: event.id,
    batchId: event.batchId,
    at: event.atMs,
    recordedAt: event.recordedAtMs,
    by: event.by,
    harvest,
    withdrawnAt: event.withdrawnAtMs,
    drawnOff: drawnOffMl ?? null,
    sample: at + 1,
    sampleMl: sample.sampleMl,
    dilution: sample.dilution ?? null,
    nauplii: sample.nauplii,
    umbrella: sample.umbrella ?? null,
    embryos: sample.embryos ?? null,
  }))
}

function sampleOf(row: Row): CountSample {
  const given = (key: 'dilution' | 'umbrella' | 'embryos') =>
    row[key] === null ? {} : { [key]: Number(row[key]) }
  return {
    sampleMl: Number(row['sampleMl']),
    ...given('dilution'),
    nauplii: Number(row['nauplii']),
    ...given('umbrella'),
    ...given('embryos'),
  }
}

const inOrder = ({ sampleMl, dilution, nauplii, umbrella, embryos }: CountSample) => [
  sampleMl,
  dilution ?? null,
  nauplii,
  umbrella ?? null,
  embryos ?? null,
]
