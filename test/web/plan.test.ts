import ICAL from 'ical.js'
import { describe, expect, it } from 'vitest'
import { feedingsOf } from '../../broker/plan/feedings.ts'
import type { NewFeeding, PlanView } from '../../broker/room/feeding/contract.ts'
import { RuleName } from '../../broker/rules/alarm.ts'
import { usualPreferences } from '../../broker/room/feeding/preferences.ts'
import { planCalendar } from '../../broker/web/plan-calendar.ts'
import { NOW_MS } from './examples.ts'
import { aPlan, fakeFeeding, HOUR, START } from './fake-feeding.ts'
import { bench, refusal } from './harness.ts'
import { LiveReader } from './live-client.ts'

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

  it('takes a feeding from one source or from several, and says which field is wrong', async () => {
    const heard: NewFeeding[] = []
    const feeding = fakeFeeding()
    const { ask: call } = bench({
      feeding: {
        ...feeding,
        given: {
          ...feeding.given,
          async give(said) {
            heard.push(said)
            const parts = 'parts' in said ? said.parts : [{ fromId: null, ...said }]
            const { from, fromId } = parts[0]!
            const times = { dueAtMs: null, atMs: NOW_MS, recordedAtMs: NOW_MS, withdrawnAtMs: null }
            const kept = parts.map(part => ({ ...part, wrote: 'w' }))
            return {
              id: 'f1',
              cohortId: 'c1',
              mealId: null,
              by: said.by,
              nauplii: 1,
              from,
              fromId,
              parts: kept,
              ...times,
            }
          },
        },
      },
    })
    const give = (said: object) => call('POST', '/api/v1/feedings', { cohortId: 'c1', ...said })
    const parts = [
      { from: 'held', fromId: 'h1', nauplii: 2900 },
      { from: 'batch', fromId: 'b1', nauplii: 8100 },
    ]
    const several = await give({ parts })
    expect(several.status).toBe(201)
    expect((await several.json()).parts).toEqual(parts)
    expect((await give({ from: 'held', fromId: 'h1', nauplii: null })).status).toBe(201)
    expect(heard).toMatchObject([{ parts }, { from: 'held', fromId: 'h1', nauplii: null }])
    const fields = async (said: object) => (await refusal(await give(said), 422)).fields
    expect(await fields({ parts: [] })).toEqual(['parts'])
    expect(await fields({ parts, nauplii: 11_000 })).toEqual(['nauplii'])
    expect(await fields({ parts, from: 'held' })).toEqual(['from'])
    expect(await fields({})).toEqual(['nauplii', 'from'])
    expect(heard).toHaveLength(2)
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
    expect(start!.description).toContain('4.1 g (1¼ teaspoons) of Lot A; best, "new" in Left cone')
    const alarms = start!.component.getAllSubcomponents('valarm')
    expect(alarms.map(alarm => String(alarm.getFirstPropertyValue('trigger')))).toEqual(['-PT10M'])
    expect(text).toContain('X-WR-TIMEZONE:Europe/Berlin')
  })

  it('says with the page to see to a vessel first on which an alarm stands, and to empty one that gives nothing', async () => {
    const summaries = async (nauplii: number, danger: PlanView['running'][number]['danger']) => {
      const [one] = aPlan().harvests
      const running = [{ id: 'b1', vesselId: 'v1', startedAtMs: NOW_MS - 9 * HOUR, readyMs: NOW_MS, danger }]
      const view = { ...aPlan(), starts: [], meals: [], harvests: [{ ...one!, nauplii }], running }
      const { ask: call } = bench({ feeding: { ...fakeFeeding(), plan: async () => view } })
      const { harvests } = (await (await call('GET', '/api/v1/plan')).json()) as {
        harvests: { act: string }[]
      }
      const [event] = events(planCalendar(view))
      return [harvests[0]?.act, event!.summary, event!.uid]
    }
    const hot = { alarmId: 'a1', rule: RuleName.waterTooHot }
    const uid = 'harvest-b1@brinewatch'
    expect(await summaries(3e5, null)).toEqual(['harvest', 'Harvest Left cone', uid])
    expect(await summaries(3e5, hot)).toEqual(['see-to', 'See to Left cone first', uid])
    expect(await summaries(0, hot)).toEqual(['see-to', 'See to Left cone first', uid])
    expect(await summaries(0, null)).toEqual(['empty', 'Empty Left cone', uid])
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

  it('numbers each plan higher than the one before, so that calendars take what moved', () => {
    const numbers = (atMs: number) =>
      events(planCalendar({ ...aPlan(), computedAtMs: atMs })).map(({ sequence }) => sequence)
    const [before, after] = [numbers(NOW_MS), numbers(NOW_MS + HOUR)]
    for (const [at, number] of after.entries()) expect(number).toBeGreaterThan(before[at]!)
    // RFC 5545, 3.3.8: an integer of 32 bits with its sign.
    expect(Math.max(...after)).toBeLessThan(2 ** 31)
  })

  it('feeds by the wall clock also over the day on which clocks change', () => {
    const fry = {
      ...{ id: 'c1', name: 'Fry', species: '', fry: 10, bornMs: 0, endsMs: null },
      ration: [{ fromDay: 0, naupliiPerFry: 1 }],
      times: ['08:00'],
      food: { kind: 'up-to' as const, hours: 24 },
    }
    // In Berlin clocks are set ahead on 29 March 2026 at 02:00 (Directive 2000/84/EC): 08:00 is 07:00 UTC before and 06:00 UTC from then on.
    const fromMs = Date.parse('2026-03-28T00:00:00Z')
    const meals = feedingsOf([fry], { fromMs, untilMs: fromMs + 72 * HOUR, zone: 'Europe/Berlin' })
    const fed = meals.map(meal => ({ ...meal, wanted: meal.nauplii, servings: [], lacking: 0 }))
    const all = events(planCalendar({ ...aPlan(), starts: [], harvests: [], meals: fed, cohorts: [fry] }))
    expect(all.map(({ startDate }) => startDate.toJSDate().toISOString())).toEqual([
      '2026-03-28T07:00:00.000Z',
      '2026-03-29T06:00:00.000Z',
      '2026-03-30T06:00:00.000Z',
    ])
    expect(new Set(all.map(({ uid }) => uid)).size).toBe(3)
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
