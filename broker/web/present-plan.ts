import type { Cohort as PlannedCohort, Remedy, Risk } from '../plan/contract.ts'
import { harvestAct } from '../plan/harvest-act.ts'
import type {
  CohortFields as RoomFields,
  GivenFeeding as Given,
  PlanChange,
  PlanView,
} from '../room/feeding/contract.ts'
import type { Cohort, CohortFields, GivenFeeding, Plan } from './api/plan.ts'
import { momentMs } from './routes/describe.ts'
import { lotCounted } from './present-batch.ts'
import { iso, isoOrNull } from './times.ts'

export function cohort({
  id,
  name,
  species,
  fry,
  bornMs,
  ration,
  times,
  food,
  endsMs,
}: PlannedCohort): Cohort {
  return {
    id,
    name,
    species,
    fry,
    born: iso(bornMs),
    ration: [...ration],
    times: [...times],
    food,
    ends: isoOrNull(endsMs),
  }
}

export function cohortFields({ born, ends, ...rest }: CohortFields): RoomFields {
  return {
    ...rest,
    bornMs: momentMs('born', born),
    endsMs: ends === null ? null : momentMs('ends', ends),
  }
}

export function plan(view: PlanView, calendar: boolean): Plan {
  const litresOf = new Map(view.vessels.map(({ id, litres }) => [id, litres]))
  return {
    computedAt: iso(view.computedAtMs),
    tookMs: view.tookMs,
    until: iso(view.untilMs),
    causes: [...view.causes],
    changes: view.changes.map(change),
    starts: view.starts.map(start => ({
      id: start.id,
      vesselId: start.vesselId,
      lot: start.lotId === '' ? null : start.lotId,
      goal: start.goal,
      at: iso(start.startMs),
      cystsG: start.grams,
      litres: litresOf.get(start.vesselId) ?? 0,
      nauplii: start.nauplii,
      ready: { p10: iso(start.ready.p10), p50: iso(start.ready.p50), p90: iso(start.ready.p90) },
      harvest: iso(start.harvestMs),
      free: iso(start.freeMs),
      nightStart: start.nightStart,
      nightHarvest: start.nightHarvest,
      ...(start.pastBest ? { pastBest: start.pastBest } : {}),
    })),
    harvests: view.harvests.map(({ harvestMs, firstMs, ...harvest }) => ({
      ...harvest,
      at: iso(harvestMs),
      first: iso(firstMs),
      act: harvestAct(harvest, view.running),
    })),
    meals: view.meals.map(({ atMs, servings, ...meal }) => ({
      ...meal,
      at: iso(atMs),
      servings: [...servings],
    })),
    risks: view.risks.map(risk),
    cystsG: view.grams,
    lacking: view.lacking,
    nightStarts: view.nightStarts,
    nightHarvests: view.nightHarvests,
    proof: view.proof,
    preferences: view.preferences,
    cohorts: view.cohorts.map(cohort),
    vessels: [...view.vessels],
    lots: view.lots.flatMap(({ id, name, gives }) =>
      gives
        ? [
            {
              id,
              name,
              naupliiPerG: gives.naupliiPerG,
              counted: gives.counted && lotCounted(gives.counted),
            },
          ]
        : [],
    ),
    ...(view.held
      ? {
          held: view.held.map(({ id, nauplii, used, untilMs }) => ({
            id,
            nauplii,
            used,
            until: isoOrNull(untilMs),
          })),
        }
      : {}),
    ...(view.sources ? { sources: { ...view.sources } } : {}),
    open: view.open.map(({ id, cohortId, atMs, nauplii }) => ({ id, cohortId, at: iso(atMs), nauplii })),
    fed: view.fed.map(given),
    running: view.running.map(({ id, vesselId, startedAtMs, readyMs, danger }) => ({
      batchId: id,
      vesselId,
      startedAt: iso(startedAtMs),
      readyAt: iso(readyMs),
      danger,
    })),
    calendar,
  }
}

export function given(of: Given): GivenFeeding {
  const { id, cohortId, mealId, nauplii, from, fromId, by } = of
  return {
    id,
    cohortId,
    mealId,
    nauplii,
    from,
    fromId,
    parts: of.parts.map(part => ({ from: part.from, fromId: part.fromId, nauplii: part.nauplii })),
    by,
    due: isoOrNull(of.dueAtMs),
    at: iso(of.atMs),
    ...(of.more === true ? { more: true } : {}),
    recordedAt: iso(of.recordedAtMs),
    withdrawnAt: isoOrNull(of.withdrawnAtMs),
  }
}

function change(one: PlanChange): Plan['changes'][number] {
  return {
    kind: one.kind,
    vesselId: 'vesselId' in one ? one.vesselId : null,
    meal: 'feedingId' in one ? one.feedingId : null,
    at: iso(one.atMs),
    from: 'fromMs' in one ? iso(one.fromMs) : null,
  }
}

function risk({ kind, feedingIds, lacking, sourceId, remedy }: Risk): Plan['risks'][number] {
  return { kind, meals: [...feedingIds], lacking, sourceId, remedy: remedyOf(remedy) }
}

function remedyOf(remedy: Remedy): Plan['risks'][number]['remedy'] {
  if (remedy.kind === 'more-cysts') return { kind: remedy.kind, lot: remedy.lotId, grams: remedy.grams }
  if (remedy.kind === 'start-spare') {
    const { lotId, readyMs, ...rest } = remedy
    return { ...rest, lot: lotId, ready: iso(readyMs) }
  }
  if (remedy.kind === 'feed-later') {
    const { atMs, ...rest } = remedy
    return { ...rest, at: iso(atMs) }
  }
  if (remedy.kind === 'vessel-needed') {
    const { startMs, ...rest } = remedy
    return { ...rest, start: iso(startMs) }
  }
  return remedy
}
