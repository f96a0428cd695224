import ICAL from 'ical.js'
import { describe, expect, it } from 'vitest'
import type { Cohort } from '../../broker/plan/contract.ts'
import type { Feeding, PlanView } from '../../broker/room/feeding/contract.ts'
import { usualPreferences } from '../../broker/room/feeding/preferences.ts'
import { planCalendar } from '../../broker/web/plan-calendar.ts'
import { NOW_MS } from './examples.ts'
import { bench } from './harness.ts'
import { LiveReader } from './live-client.ts'

const HOUR = 3_600_000
const START = NOW_MS + 3 * HOUR

function aPlan(shiftMs = 0): PlanView {
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
function fakeFeeding(): Feeding & { kept: Cohort[]; started: string[] } {
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

const FRY = {
  name: 'Spawn 12',
  species: 'angelfish',
  fry: 200,
  born: '2026-02-20T00:00:00.000Z',
  ration: [{ fromDay: 0, naupliiPerFry: 150 }],
  times: ['08:00', '18:00'],
  food: { kind: 'instar-1' },
  ends: null,
}

const events = (text: string) =>
  new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent').map(one => new ICAL.Event(one))

describe('the plan over HTTP', () => {
  it('keeps groups of fry and refuses what is none', async () => {
    const feeding = fakeFeeding()
    const { ask: call } = bench({ feeding })
    const added = await call('POST', '/api/v1/cohorts', FRY)
    expect(added.status).toBe(201)
    expect(await added.json()).toEqual({ id: 'c1', ...FRY })
    expect(feeding.kept[0]!.bornMs).toBe(Date.parse(FRY.born))
    expect(await (await call('GET', '/api/v1/cohorts')).json()).toEqual({ cohorts: [{ id: 'c1', ...FRY }] })
    for (const [field, wrong] of [
      ['fry', 0],
      ['times', ['8 o’clock']],
      ['times', []],
      ['ration', []],
      ['food', { kind: 'up-to' }],
      ['name', ''],
    ] as const) {
      const refused = await call('POST', '/api/v1/cohorts', { ...FRY, [field]: wrong })
      expect(refused.status, `${field} ${JSON.stringify(wrong)}`).toBe(422)
      expect(JSON.stringify(await refused.json())).toContain(field)
    }
    expect((await call('DELETE', '/api/v1/cohorts/c1')).status).toBe(204)
    expect(feeding.kept).toEqual([])
  })

  it('serves the plan, starts what it has, and takes preferences', async () => {
    const feeding = fakeFeeding()
    const { ask: call } = bench({ feeding })
    const plan = await (await call('GET', '/api/v1/plan')).json()
    expect(plan.starts[0]).toMatchObject({ vesselId: 'v1', cystsG: 4.1, at: new Date(START).toISOString() })
    expect(plan.risks[0].remedy).toEqual({ kind: 'more-cysts', lot: 'Lot A', grams: 0.1 })
    expect(plan.calendar).toBe(false)
    expect((await call('POST', '/api/v1/plan/starts/v1.abc/start')).status).toBe(201)
    expect(feeding.started).toEqual(['v1.abc'])
    const wanted = { ...usualPreferences('Asia/Tokyo'), days: 14 }
    expect(await (await call('PUT', '/api/v1/plan/preferences', wanted)).json()).toEqual(wanted)
    expect(
      (await call('PUT', '/api/v1/plan/preferences', { ...wanted, zone: 'Nowhere/At_all' })).status,
    ).toBe(422)
  })

  it('opens the calendar to whoever has the private address, until it ends', async () => {
    const { ask: call } = bench({ feeding: fakeFeeding(), signIn: true })
    const wrong = await call('GET', '/calendar/guess/feeding-plan.ics')
    expect(wrong.status).toBe(404)
    expect((await call('GET', '/api/v1/plan/calendar.ics')).status).toBe(401)
  })

  it('makes and ends the private address', async () => {
    const { ask: call } = bench({ feeding: fakeFeeding() })
    const { path } = await (await call('POST', '/api/v1/plan/calendar-address')).json()
    const answer = await call('GET', path)
    expect(answer.headers.get('content-type')).toBe('text/calendar; charset=utf-8')
    expect(answer.headers.get('cache-control')).toBe('no-store')
    expect(events(await answer.text())).toHaveLength(4)
    expect((await call('DELETE', '/api/v1/plan/calendar-address')).status).toBe(204)
    expect((await call('GET', path)).status).toBe(404)
  })
})

describe('the plan as a calendar', () => {
  it('is read by an independent parser as what it says', () => {
    const text = planCalendar(aPlan())
    const all = events(text)
    expect(all.map(({ summary }) => summary)).toEqual([
      'Start 4.1 g in Left cone',
      'Harvest Left cone',
      'Harvest Left cone',
      'Feed c1 (lacking)',
    ])
    const [start] = all
    expect(start!.startDate.toJSDate().getTime()).toBe(START)
    expect(start!.startDate.zone).toBe(ICAL.Timezone.utcTimezone)
    expect(start!.description).toContain('4.1 g (1¼ teaspoons) of lot Lot A; best, "new" in Left cone')
    const alarms = start!.component.getAllSubcomponents('valarm')
    expect(alarms.map(alarm => String(alarm.getFirstPropertyValue('trigger')))).toEqual(['-PT10M'])
    expect(text).toContain('X-WR-TIMEZONE:Europe/Berlin')
  })

  // RFC 5545, section 3.1: lines end with CRLF and are no longer than 75 octets; 3.8.4.7: a UID is unique; 3.6.1: DTSTAMP and UID are required.
  it('keeps to RFC 5545', () => {
    const text = planCalendar(aPlan())
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/)
    for (const line of text.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75)
    const all = events(text)
    expect(new Set(all.map(({ uid }) => uid)).size).toBe(all.length)
    for (const { component } of all) {
      expect(component.hasProperty('uid')).toBe(true)
      expect(component.hasProperty('dtstamp')).toBe(true)
    }
  })

  it('moves what moved, and does not double it', () => {
    const before = events(planCalendar(aPlan()))
    const after = events(planCalendar(aPlan(-HOUR)))
    expect(after.map(({ uid }) => uid)).toEqual(before.map(({ uid }) => uid))
    expect(after[0]!.startDate.toJSDate().getTime()).toBe(START - HOUR)
  })
})

describe('the live feed', () => {
  it('tells that the plan was made anew, once for changes that come together', async () => {
    let tell: (view: PlanView) => void = () => undefined
    const feeding = {
      ...fakeFeeding(),
      onPlan: (listener: typeof tell) => {
        tell = listener
        return () => undefined
      },
    }
    const { web } = bench({ feeding })
    const { port } = await web.listen('127.0.0.1', 0)
    const reader = new LiveReader(`ws://127.0.0.1:${port}/api/v1/live`)
    try {
      await reader.snapshot()
      tell(aPlan())
      tell({ ...aPlan(), computedAtMs: NOW_MS + 5 })
      await reader.until(() => reader.changes().length > 0)
      expect(reader.changes()).toEqual([{ kind: 'plan', computedAtMs: NOW_MS + 5 }])
    } finally {
      reader.socket.terminate()
      await web.close()
    }
  })
})
