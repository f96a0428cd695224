import { HarvestGoal, type LotBelief } from '../../hatch/contract.ts'
import { harvestLeft } from '../../hatch/counts/harvest-left.ts'
import { naupliiPerGBand, unseenLot } from '../../hatch/lot/lot.ts'
import type { LotSummary } from '../../hatch/lot/summary.ts'
import { spreadOf } from '../../hatch/population/population.ts'
import { Z90 } from '../../hatch/normal.ts'
import { outlookOf } from '../../plan/outlook.ts'
import type { Cohort, Outlook, PlanInput, PlanLot, PlanVessel, RunningBatch } from '../../plan/contract.ts'
import type { Room } from '../contract.ts'
import { harvestEntries } from '../harvest-left.ts'
import type { Pantry, PlanPreferences } from './contract.ts'
import { dangerFor } from './danger.ts'
import type { UsualWater } from './usual-water.ts'

const DAY_MS = 86_400_000
/** Of lots that nobody keeps a shelf of, so many of those used last are planned with. */
const MOST_LOTS = 3
/** Where there is no lot at all, cysts like those of a lot never seen are planned with. */
const ANY_LOT: PlanLot = { id: '', name: '', gramsLeft: null }

export interface GatherParts {
  readonly room: Room
  readonly clock: () => number
  readonly pantry: Pantry | null
  readonly usualWater: UsualWater
}

/** All that the plan rests on, as it is now. */
export async function gather(
  { room, clock, pantry, usualWater }: GatherParts,
  cohorts: readonly Cohort[],
  { zone, wake, gramStep, spare, cold, days, turnroundMin, maxGpl }: PlanPreferences,
): Promise<PlanInput> {
  const nowMs = clock()
  const { vessels: views, alarms } = room.snapshot()
  const known = await room.lots()
  const shelf = (await pantry?.lots()) ?? []
  const listed: PlanLot[] =
    shelf.length > 0
      ? shelf.filter(({ gramsLeft }) => gramsLeft === null || gramsLeft >= gramStep)
      : known.slice(0, MOST_LOTS).map(({ name }) => ({ id: name, name, gramsLeft: null }))
  const summaries = new Map(known.map(({ name, summary }) => [name, summary] as const))
  const lots = (listed.length > 0 || shelf.length > 0 ? listed : [ANY_LOT]).map(lot => {
    const summary = summaries.get(lot.name)
    const { p50 } = summary?.naupliiPerG ?? naupliiPerGBand(unseenLot)
    return { ...lot, gives: { naupliiPerG: p50, counted: summary?.counted ?? null } }
  })
  const beliefs = new Map(known.map(({ name, summary }) => [name, beliefFrom(summary)] as const))

  const vessels: PlanVessel[] = []
  for (const { row } of views) {
    const [last] = await room.batches({ vesselId: row.id, limit: 1 })
    vessels.push({
      id: row.id,
      name: row.name,
      litres: last?.litres ?? row.litres,
      freeFromMs: nowMs,
      turnroundMin,
      maxGpl,
    })
  }
  const goals: readonly HarvestGoal[] = cohorts.some(({ food }) => food.kind === 'instar-1')
    ? [HarvestGoal.balanced, HarvestGoal.smallest]
    : [HarvestGoal.balanced]
  const outlooks: Outlook[] = []
  for (const vessel of vessels) {
    const waterC = await usualWater.of(vessel.id)
    for (const lot of lots)
      for (const goal of goals) {
        const one = outlookOf(beliefs.get(lot.name) ?? unseenLot, goal, waterC)
        if (one) outlooks.push({ vesselId: vessel.id, lotId: lot.id, goal, ...one })
      }
  }
  const running: RunningBatch[] = []
  for (const { row, batch, forecast } of views) {
    if (!batch || !forecast) continue
    const belief = beliefs.get(batch.lot ?? '') ?? unseenLot
    const usual = outlookOf(belief, batch.goal, forecast.expectedWater.p50)
    // Of what the batch gives in the end, so much is out by its best moment.
    const out = usual ? usual.naupliiPerG / naupliiPerGBand(belief).p50 : 0
    const left = harvestLeft(harvestEntries(await room.batchEvents(batch.id)), nowMs)
    const counted = left.counted?.counted ?? null
    const { p10, p50, p90 } = forecast.nauplii
    const isForeseen = !counted && forecast.reachesHatch
    const nauplii = counted ? counted.best : p50 * out
    running.push({
      id: batch.id,
      vesselId: row.id,
      ready: forecast.harvest.best,
      fromMs: forecast.harvest.fromMs,
      untilMs: forecast.harvest.untilMs,
      ageH: usual?.ageH ?? 0,
      ageing: usual?.ageing ?? 1,
      nauplii: forecast.reachesHatch ? nauplii * left.share : 0,
      ...(isForeseen ? { inTheEnd: p50 * left.share } : {}),
      ...(isForeseen && !summaries.get(batch.lot ?? '')?.counted
        ? { uncounted: { least: p10 * out * left.share, most: p90 * out * left.share } }
        : {}),
      ...(usual?.afterBest ? { afterBest: usual.afterBest } : {}),
      danger: dangerFor(alarms, row.id),
    })
  }
  return {
    nowMs,
    untilMs: nowMs + days * DAY_MS,
    zone,
    wake,
    cohorts,
    vessels,
    lots,
    outlooks,
    running,
    held: (await pantry?.held()) ?? [],
    cold,
    gramStep,
    spare,
  }
}

/** The next batch of a lot, as its summary has it. */
function beliefFrom({ medianDegH, synchronyDegH, hatchPercentage, naupliiPerG }: LotSummary): LotBelief {
  const { p10, p50, p90 } = medianDegH
  // From 10 to 90 % hatched lie two times Z90 deviations.
  const sigma = Math.asinh(synchronyDegH.p50 / p50 / 2) / Z90
  return {
    medianDegH: p50,
    lnLow: Math.log(p10 / p50),
    lnHigh: Math.log(p90 / p50),
    spread: spreadOf(sigma),
    hatchShare: hatchPercentage.p50,
    hatch: hatchPercentage,
    cystsPerG: per(naupliiPerG.p50 / hatchPercentage.p50),
  }
}

const per = (value: number) => ({ p10: value, p50: value, p90: value })
