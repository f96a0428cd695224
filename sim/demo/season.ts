import { readFileSync } from 'node:fs'
import { gunzipSync } from 'node:zlib'
import type { RoomApi } from './room-api.ts'

/**
 * The invented season: batches that were played once through a real room with all its rules, by `npm run season`, and are moved to end
 * before the demo's own day begins.
 */
export interface Season {
  /** The midnight that everything lies before, Unix ms; hours of the day count from it. */
  readonly anchorMs: number
  readonly lots: readonly { readonly name: string }[]
  readonly batches: readonly { readonly batch: { readonly startedAtMs: number } }[]
}

const FILE = new URL('./season.json.gz', import.meta.url)
const DAY_MS = 86_400_000

export function readSeason(): Season {
  return JSON.parse(gunzipSync(readFileSync(FILE)).toString('utf8')) as Season
}

/** Fields that are moments by their names; what is called otherwise is a duration, or no time at all. */
const MOMENT = /^(?:at|from|to|start|.+(?:At|Since|Until))Ms$/

/** The same with every moment so much later. 0 is "from the beginning" and stays. */
export function moved<T>(of: T, byMs: number): T {
  if (Array.isArray(of)) return of.map(each => moved<unknown>(each, byMs)) as T
  if (of === null || typeof of !== 'object') return of
  return Object.fromEntries(
    Object.entries(of).map(([name, value]) => {
      if (typeof value !== 'number') {
        // Thousands of numbers each, none of them a moment.
        return [name, name === 'readings' ? movedReadings(value, byMs) : moved<unknown>(value, byMs)]
      }
      return [name, MOMENT.test(name) && value > 0 ? value + byMs : value]
    }),
  ) as T
}

function movedReadings(readings: unknown, byMs: number): unknown {
  const { startMs, ...rest } = readings as { startMs: number }
  return { startMs: startMs + byMs, ...rest }
}

/** Brings the season in, the oldest first; resolves to how many batches it has, or 0 when it was not to go on. */
export async function playSeason(
  api: Pick<RoomApi, 'addLot' | 'addCohort' | 'takeBatch'>,
  nowMs: number,
  isOver: () => boolean,
): Promise<number> {
  const season = readSeason()
  const byMs = midnightBefore(nowMs) - season.anchorMs
  for (const lot of season.lots) await api.addLot(lot)
  for (const cohort of cohorts(nowMs)) await api.addCohort(cohort)
  for (const batch of season.batches) {
    if (isOver()) return 0
    await api.takeBatch(moved(batch, byMs))
  }
  return season.batches.length
}

/** The beginning of the watcher's own day: night in the season is night where the demo is looked at. */
function midnightBefore(nowMs: number): number {
  const day = new Date(nowMs)
  return day.setHours(0, 0, 0, 0)
}

/** Fry to be fed, so that the plan has something to plan for: 150 a day in two meals, as published for angelfish and severum larvae. */
function cohorts(nowMs: number) {
  return [
    {
      name: 'Invented fry',
      species: 'invented for the demo',
      fry: 250,
      born: new Date(midnightBefore(nowMs) - 4 * DAY_MS).toISOString(),
      ration: [{ fromDay: 0, naupliiPerFry: 150 }],
      times: ['08:00', '18:00'],
      food: { kind: 'up-to', hours: 24 },
      ends: new Date(midnightBefore(nowMs) + 10 * DAY_MS).toISOString(),
    },
  ]
}
