import type { PlanInput } from '../../broker/plan/contract.ts'
import { cohort, HOUR, MONDAY, room } from './rooms.ts'

/** A fish room as large as a plan has to be made for: no two kinds of vessel are as warm, groups eat at other times, two lots. */
export function largeRoom({ cold = true }: { cold?: boolean } = {}): PlanInput {
  const vessels = Array.from({ length: 12 }, (_, i) => ({
    id: `v${i}`,
    name: `Cone ${i + 1}`,
    litres: [1, 1, 2, 0.75][i % 4]!,
    freeFromMs: MONDAY,
    turnroundMin: 30,
    maxGpl: 5,
  }))
  const lots = [
    { id: 'A', name: 'A', gramsLeft: 120 },
    { id: 'B', name: 'B', gramsLeft: 200 },
  ]
  const times = [
    ['08:00', '18:00'],
    ['07:30', '13:00', '19:00'],
    ['08:00', '18:00'],
    ['08:00', '12:00', '16:00', '20:00'],
  ]
  return room({
    vessels,
    lots,
    outlooks: vessels.flatMap(({ id }, i) =>
      lots.map((lot, j) => {
        const hours = 20 + (i % 6) * 0.5 + j * 2.5
        return {
          vesselId: id,
          lotId: lot.id,
          goal: 'balanced' as const,
          readyH: { p10: hours - 2, p50: hours, p90: hours + 2.5 },
          ageH: 3.5,
          ageing: 1,
          naupliiPerG: j === 0 ? 190_000 : 150_000,
        }
      }),
    ),
    cohorts: Array.from({ length: 10 }, (_, i) =>
      cohort({
        id: `c${i}`,
        fry: 80 + 37 * i,
        bornMs: MONDAY - i * 48 * HOUR,
        ration: [
          { fromDay: 0, naupliiPerFry: 60 },
          { fromDay: 5, naupliiPerFry: 120 },
          { fromDay: 12, naupliiPerFry: 200 },
        ],
        times: times[i % 4]!,
        food: i % 3 === 0 ? { kind: 'instar-1' } : { kind: 'up-to', hours: 24 },
      }),
    ),
    untilMs: MONDAY + 14 * 24 * HOUR,
    zone: 'Europe/Berlin',
    wake: { from: '07:00', until: '22:30' },
    cold: cold ? { keepsH: 24, survival: 0.95 } : null,
  })
}
