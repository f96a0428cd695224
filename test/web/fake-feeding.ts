import type { Cohort } from '../../broker/plan/contract.ts'
import type { Feeding, PlanView } from '../../broker/room/feeding/contract.ts'
import { usualPreferences } from '../../broker/room/feeding/preferences.ts'
import { NOW_MS } from './examples.ts'

export const HOUR = 3_600_000
export const START = NOW_MS + 3 * HOUR

export function aPlan(shiftMs = 0): PlanView {
  const at = START + shiftMs
  return {
    computedAtMs: NOW_MS,
    tookMs: 12,
    untilMs: NOW_MS + 7 * 24 * HOUR,
    causes: ['first'],
    changes: [{ kind: 'start-moved', vesselId: 'v1', atMs: at, fromMs: at - HOUR }],
    starts: [
      {
        id: 'v1.abc',
        vesselId: 'v1',
        lotId: 'Lot A; best, "new"',
        goal: 'balanced',
        startMs: at,
        grams: 4.1,
        nauplii: 800_000,
        ready: { p10: at + 21 * HOUR, p50: at + 23 * HOUR, p90: at + 26 * HOUR },
        harvestMs: at + 25 * HOUR,
        freeMs: at + 26 * HOUR,
        nightStart: false,
        nightHarvest: false,
      },
    ],
    harvests: [
      {
        batchId: 'b1',
        vesselId: 'v1',
        harvestMs: NOW_MS + HOUR,
        firstMs: NOW_MS + HOUR,
        late: false,
        nauplii: 3e5,
        used: 1e5,
        night: false,
      },
    ],
    meals: [
      {
        id: 'c1@2026-03-02T08:00',
        cohortId: 'c1',
        atMs: at + 25 * HOUR,
        nauplii: 15_000,
        wanted: 16_500,
        limitH: 24,
        lacking: 500,
        servings: [
          { source: 'planned', sourceId: 'v1.abc', nauplii: 16_000, ageH: 5, coldH: 0, tight: false },
        ],
      },
    ],
    risks: [
      {
        kind: 'short-of-cysts',
        feedingIds: ['c1@2026-03-02T08:00'],
        lacking: 500,
        sourceId: null,
        remedy: { kind: 'more-cysts', lotId: 'Lot A', grams: 0.1 },
      },
    ],
    grams: 4.1,
    lacking: 500,
    nightStarts: 0,
    nightHarvests: 0,
    proof: { optimal: true, gap: 0, leastG: 4.1, gridMin: 30 },
    preferences: usualPreferences('Europe/Berlin'),
    cohorts: [],
    vessels: [{ id: 'v1', name: 'Left cone', litres: 1 }],
    lots: [],
    open: [],
    fed: [],
    running: [],
  }
}

/** Remembers what it is told; its plan is {@link aPlan}. */
export function fakeFeeding(): Feeding & { kept: Cohort[]; started: string[] } {
  const kept: Cohort[] = []
  const started: string[] = []
  let key: string | null = null
  let preferences = usualPreferences('UTC')
  return {
    kept,
    started,
    cohorts: async () => kept,
    async keepCohort(id, fields) {
      const one = { id: id ?? `c${kept.length + 1}`, ...fields }
      kept.push(one)
      return one
    },
    async dropCohort(id) {
      kept.splice(
        kept.findIndex(each => each.id === id),
        1,
      )
    },
    preferences: () => preferences,
    changePreferences: async wanted => (preferences = wanted),
    plan: async () => aPlan(),
    async startPlanned(id) {
      started.push(id)
      return {
        id: 'b9',
        vesselId: 'v1',
        startedAtMs: NOW_MS,
        endedAtMs: null,
        litres: 1,
        cystsG: 4.1,
        salinityGpl: 25,
        lot: null,
        goal: 'balanced',
        note: null,
      }
    },
    given: {
      list: async () => [],
      give: async () => Promise.reject(new Error('not asked for here')),
      withdraw: async () => Promise.reject(new Error('not asked for here')),
      open: async () => [],
    },
    newCalendarKey: async () => (key = 'a-long-and-random-key'),
    dropCalendarKey: async () => void (key = null),
    hasCalendarKey: async () => key !== null,
    knowsCalendarKey: async asked => asked === key,
    onPlan: () => () => undefined,
    tick: () => undefined,
    close: async () => undefined,
  }
}
