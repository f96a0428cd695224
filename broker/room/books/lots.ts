import { gramsLeft } from '../../hatch/lot/grams-left.ts'
import type { ChartValue } from '../../hatch/lot/control-chart.ts'
import { wholeCountOf } from '../../hatch/counts/whole-count.ts'
import { countAt } from '../count-at.ts'
import { ChartOf, lotChart } from '../../hatch/lot/harvests.ts'
import { LotQuality, lotQuality } from '../../hatch/lot/quality.ts'
import { useBy } from '../../hatch/lot/use-by.ts'
import type { EntryRow } from '../../store/books-contract.ts'
import type { BatchRow } from '../../store/contract.ts'
import type { LotView } from '../views.ts'
import {
  type LotChart,
  type LotDetail,
  type LotOnShelf,
  type LotRecord,
  type Lots,
  type Weighing,
} from './contract.ts'
import { dateMs } from './dates.ts'
import { LotShelf } from './lot-shelf.ts'
import { invalid, notFound, saidMoment, type BookParts } from './parts.ts'

export const WEIGHINGS = 'weighing'
/** A chart shows so many newest batches of a lot. */
const BATCHES_ON_CHART = 60
const MOST_GRAMS = 100_000

/** The lots on the shelf: what is left of each, how long it keeps, and how good it is. */
export function createLots(parts: BookParts): Lots {
  const { store, room, clock, newId } = parts
  const shelf = new LotShelf(parts)

  return {
    async list() {
      const [records, learned, weighings] = await Promise.all([shelf.list(), room.lots(), allWeighings()])
      const lots: LotOnShelf[] = []
      for (const record of records) lots.push(await onShelf(record, learned, weighings))
      const lastUsed = (lot: LotOnShelf) => lot.learned?.lastUsedAtMs ?? lot.createdAtMs
      const away = (lot: LotOnShelf) => (lot.endedAtMs === null ? 0 : 1)
      return lots.sort((a, b) => away(a) - away(b) || lastUsed(b) - lastUsed(a))
    },

    async lot(id) {
      const record = await shelf.find(id)
      return detail(await onShelf(record, await room.lots(), await allWeighings()))
    },

    async add(fields) {
      return onShelf(await shelf.add(fields), await room.lots(), [])
    },

    async change(id, change, by) {
      return onShelf(await shelf.change(id, change, by), await room.lots(), await allWeighings())
    },

    async weigh(id, weighed) {
      const lot = await shelf.find(id)
      if (!(weighed.gramsLeft >= 0 && weighed.gramsLeft <= MOST_GRAMS))
        throw invalid(`Cannot write a weighing down: it must be 0 to ${MOST_GRAMS} g`, 'gramsLeft')
      const nowMs = clock()
      const row: EntryRow = {
        id: newId(),
        book: WEIGHINGS,
        subject: lot.id,
        atMs: saidMoment('write a weighing down', weighed.atMs, nowMs),
        recordedAtMs: nowMs,
        by: weighed.by,
        json: JSON.stringify({ gramsLeft: weighed.gramsLeft }),
        withdrawnAtMs: null,
      }
      await store.keepEntry(row)
      parts.changed()
      return weighingOf(row)
    },

    async withdrawWeighing(id, weighingId) {
      const row = (await store.entries(WEIGHINGS)).find(each => each.id === weighingId && each.subject === id)
      if (!row) throw notFound('weighing', weighingId)
      const withdrawn = { ...row, withdrawnAtMs: row.withdrawnAtMs ?? clock() }
      await store.keepEntry(withdrawn)
      parts.changed()
      return weighingOf(withdrawn)
    },
  }

  async function allWeighings(): Promise<EntryRow[]> {
    return store.entries(WEIGHINGS)
  }

  async function onShelf(
    record: LotRecord,
    learned: readonly LotView[],
    weighings: readonly EntryRow[],
  ): Promise<LotOnShelf> {
    const batches = await store.batches({ lot: record.name })
    const weighed = weighings.filter(row => row.subject === record.id && row.withdrawnAtMs === null)
    const known = learned.find(({ name }) => name === record.name) ?? null
    const nowMs = clock()
    const until = useBy({
      openedOnMs: dateMs(record.openedOn),
      keptIn: record.keptIn,
      bestBeforeMs: dateMs(record.bestBefore),
    })
    const isPastDate = until !== null && nowMs >= until.untilMs
    return {
      ...record,
      ...gramsLeft(record.gramsBought, weighed.map(weighingOf), batches.map(drawnBy)),
      useBy: until,
      learned: known,
      quality: known ? lotQuality(known.summary, isPastDate) : LotQuality.unseen,
    }
  }

  async function detail(lot: LotOnShelf): Promise<LotDetail> {
    const batches = await store.batches({ lot: lot.name, limit: BATCHES_ON_CHART })
    const charts = await chartsOf(batches.reverse())
    const weighings = (await allWeighings()).filter(row => row.subject === lot.id).map(weighingOf)
    return {
      ...lot,
      judgedBy: lot.learned?.summary.harvests.of ?? ChartOf.hatchPercentage,
      charts,
      weighings,
    }
  }

  /** @param batches oldest first */
  async function chartsOf(batches: readonly BatchRow[]): Promise<Record<ChartOf, LotChart>> {
    const perG: ChartValue[] = []
    const percent: ChartValue[] = []
    const ids = { perG: [] as string[], percent: [] as string[] }
    for (const { id } of batches) {
      const counts = (await room.batchEvents(id)).filter(
        event => event.kind === 'count' && event.withdrawnAtMs === null && event.estimate !== null,
      )
      const atHarvest = counts.filter(event => event.kind === 'count' && event.harvest)
      const count = (atHarvest.length > 0 ? atHarvest : counts).at(-1)
      if (!count?.estimate) continue
      // What a lot is worth is told by the stirred vessel; what was drawn off of it is less by what stayed behind.
      const told = wholeCountOf(counts, count, countAt) ?? count
      const { naupliiPerG, hatchPercentage } = told.estimate ?? count.estimate
      perG.push({ atMs: told.atMs, ...limitsOf(naupliiPerG) })
      ids.perG.push(id)
      if (!hatchPercentage) continue
      percent.push({ atMs: told.atMs, ...limitsOf(hatchPercentage) })
      ids.percent.push(id)
    }
    return {
      [ChartOf.naupliiPerG]: { chart: lotChart(ChartOf.naupliiPerG, perG), batchIds: ids.perG },
      [ChartOf.hatchPercentage]: {
        chart: lotChart(ChartOf.hatchPercentage, percent),
        batchIds: ids.percent,
      },
    }
  }
}

const limitsOf = ({ low, best, high }: { low: number; best: number; high: number }) => ({
  value: best,
  low,
  high,
})
const drawnBy = ({ startedAtMs, cystsG }: BatchRow) => ({ atMs: startedAtMs, cystsG })

export function weighingOf({ id, atMs, recordedAtMs, by, json, withdrawnAtMs }: EntryRow): Weighing {
  const { gramsLeft: left } = JSON.parse(json) as { gramsLeft: number }
  return { id, atMs, recordedAtMs, by, gramsLeft: left, withdrawnAtMs }
}
