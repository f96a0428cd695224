import { describe, expect, it } from 'vitest'
import type { Forecast } from '../../../broker/web/api/forecast.ts'
import type { Vessel } from '../../../broker/web/api/vessels.ts'
import type { Alarm } from '../../../broker/web/api/schemas.ts'
import {
  bracketText,
  harvestSentence,
  heatsToHarm,
  movedText,
  roomSentence,
  stageText,
} from '../../../dashboard/words/sentence.ts'
import { oxygenLeftText } from '../../../dashboard/words/alarm-oxygen.ts'
import { alarm, HOUR_MS, iso, NOW_MS, reading, settings, vessel } from '../room.ts'

const zone = { locale: 'de-AT', timeZone: 'Europe/Vienna' } // noon is 11:00 UTC
const say = (given: Vessel) => harvestSentence(given, settings(), NOW_MS, zone)

/** A harvest window in hours from now. */
function due(from: number, best: number, until: number, change: Partial<Forecast> = {}): Vessel {
  const base = vessel()
  if (!base.forecast) throw new Error('Cannot set a window: the vessel has no forecast')
  const at = (hours: number) => iso(NOW_MS + hours * HOUR_MS)
  const bestBand = { p10: at(from), p50: at(best), p90: at(until) }
  const harvest = { from: at(from), best: at(best), until: at(until), bestBand }
  return { ...base, forecast: { ...base.forecast, harvest, ...change } }
}

describe('the sentence under a vessel', () => {
  it('says from when and by when', () =>
    expect(say(due(1.5, 4, 8))).toBe('Harvest from 13:30, best by 16:00'))
  it('says the day with every time that is not today’s', () => {
    expect(say(due(18 + 2 / 3, 21 + 1 / 6, 26))).toBe('Harvest from tomorrow 06:40, best by tomorrow 09:10')
    expect(say(due(10, 14, 18))).toBe('Harvest from 22:00, best by tomorrow 02:00')
  })
  it('changes as the window comes and goes', () => {
    expect(say(due(-1, 2, 5))).toBe('Harvest now, best by 14:00')
    expect(say(due(-4, -1, 2))).toBe('Harvest now, only good until 14:00')
    // Known to hardly more than a guess: the badge and the sentence send somebody to look.
    const guess = { hatchedNow: { p10: 0.1, p50: 0.6, p90: 0.9 } }
    expect(say(due(-1, 2, 5, guess))).toBe('Perhaps ready: look, best by 14:00')
    expect(say(due(-4, -1, 2, guess))).toBe(
      'Perhaps ready: look. If nearly all are out, they are good until 14:00',
    )
    const slow = (hours: number) => {
      const base = due(-4, -1, 2).forecast!.harvest
      return { harvest: { ...base, bestBand: { ...base.bestBand, p90: iso(NOW_MS + hours * HOUR_MS) } } }
    }
    expect(say(due(-4, -1, 2, slow(9)))).toBe('Harvest now, most likely good until 14:00')
    expect(say(due(-8, -5, -2))).toBe('Past its best since 10:00. Harvest what is left.')
  })
  it('says in plain words why there is no time to name', () => {
    const none = { water: null, 'upper-water': null, room: null, air: null, light: null, level: null }
    const empty = vessel({ batch: null, forecast: null })
    expect(say(empty)).toMatch(/Empty/)
    expect(harvestSentence(empty, settings(), NOW_MS, zone, [], true)).toBe(
      'No batch in it. Clean it before the next one.',
    )
    expect(say(vessel({ batch: null, forecast: null, channels: none }))).toMatch(/No probe/)
    expect(say(vessel({ forecast: null, channels: none }))).toMatch(/no probe/)
    const waiting = vessel({ forecast: null })
    expect(say({ ...waiting, latest: { ...waiting.latest, waterC: null } })).toMatch(/no water reading/)
  })
  it('tells too cool from too hot when it will not hatch', () => {
    const level = (p50: number) => ({
      reachesHatch: false,
      expectedWaterC: { p10: p50 - 1, p50, p90: p50 + 1 },
    })
    expect(say(due(1, 2, 3, level(9)))).toMatch(/Too cool/)
    const hot = due(1, 2, 3, level(36))
    const at = (waterC: number) => say({ ...hot, latest: { ...hot.latest, waterC: reading(waterC) } })
    expect(say(hot), 'its water is still right').toBe(
      'On its way to about 36 °C; above about 33 °C hatching stops. Take heat off.',
    )
    expect(say(due(1, 2, 3, level(33.2)))).toMatch(/^On its way to about 33 °C, where hatching stops/)
    // The alarm's limit is the trade's cautious one; the published limit of hatching is another (FAO 428, Annex 4).
    expect(at(29.5)).toBe(
      'Over its alarm limit of 29.4 °C, and on its way to about 36 °C; above about 33 °C hatching stops. Take heat off.',
    )
    expect(at(33)).toMatch(/^Over its alarm limit/)
    expect(at(29.4)).toMatch(/^At its alarm limit of 29\.4 °C,/)
    expect(at(29.42)).toMatch(/^Over its alarm limit of 29\.40 °C,/)
    const old = { ...hot, latest: { ...hot.latest, waterC: reading(29.5, NOW_MS - HOUR_MS) } }
    expect(say(old), 'a probe that is not heard').toMatch(/^When last heard, 11:00: over its alarm limit/)
    expect(at(33.1)).toBe('Above about 33 °C, where hatching stops. Cool the water first.')
  })
})

describe('the sentence under a vessel that is in danger', () => {
  const hatched = { hatchedNow: { p10: 0.7, p50: 0.8, p90: 0.9 } }
  const ready = due(-1, 2, 5, hatched)
  const alarmOf = (rule: Alarm['rule'], change: Partial<Alarm> = {}) =>
    alarm({ rule, vesselId: ready.id, raisedAt: iso(NOW_MS - HOUR_MS / 2), ...change })
  const warned = (given: Vessel, ...alarms: Alarm[]) =>
    harvestSentence(given, settings(), NOW_MS, zone, alarms)
  const blowing = (airLpm: number): Vessel => ({
    ...ready,
    latest: { ...ready.latest, airLpm: reading(airLpm) },
  })

  it('puts what kills first before the harvest', () => {
    expect(warned(blowing(0), alarmOf('air-lost'))).toBe('No air since 11:30: harvest or restore it now.')
    expect(warned(blowing(0.1), alarmOf('air-lost'))).toMatch(/^Too little air since 11:30/)
    expect(warned(ready, alarmOf('water-too-hot'))).toBe(
      'Too hot since 11:30: take heat off now, or harvest.',
    )
    expect(warned(blowing(0), alarmOf('water-too-hot'), alarmOf('air-lost'))).toBe(
      'No air since 11:30, and too hot: harvest or restore it now.',
    )
    const soaking = due(10, 14, 18, { hatchedNow: { p10: 0, p50: 0, p90: 0 } })
    expect(warned({ ...soaking, latest: blowing(0).latest }, alarmOf('air-lost'))).toBe(
      'No air since 11:30: restore it now.',
    )
  })
  it('goes back to the harvest once that is over', () =>
    expect(warned(ready, alarmOf('air-lost', { clearedAt: iso(NOW_MS) }))).toBe('Harvest now, best by 14:00'))
  it('says how long the oxygen lasts where nothing has hatched, in the words of the alarm bar', () => {
    const soaking = due(10, 14, 18, { stage: 'soaking', hatchedNow: { p10: 0, p50: 0, p90: 0 } })
    const latest = { ...blowing(0).latest, waterC: reading(28) }
    const batch = { ...soaking.batch!, cystsG: soaking.batch!.litres / 10 }
    const still = { ...soaking, batch, latest }
    const lost = alarmOf('air-lost')
    const lasts = oxygenLeftText(lost, still, settings(), NOW_MS, zone)
    expect(lasts).toMatch(/^Oxygen until about .+, .+ (h|min)$/)
    expect(warned(still, lost)).toBe(`No air since 11:30: restore it. ${lasts}.`)
  })
  it('tells of water that is too hot, though its warning called for it', () => {
    const warning = alarmOf('water-heading-hot', { state: 'acknowledged', priority: 'critical', value: 0 })
    expect(warned(ready, warning)).toBe('Too hot: take heat off now, or harvest.')
    const other = { ...due(-1, 1, 3, hatched), id: 'other', name: 'Jar' }
    const room = (given: Alarm) => roomSentence([other, { ...ready, name: 'Cone 5' }], NOW_MS, zone, [given])
    expect(room(warning)).toBe('Cone 5 is too hot; Jar is ready to harvest.')
    expect(room({ ...warning, value: 12 })).toBe('Cone 5 is heating up; Jar is ready to harvest.')
    expect(room({ ...warning, clearedAt: iso(NOW_MS) })).toBe('Jar and Cone 5 are ready to harvest.')
  })
  it('is the first thing that the room says', () => {
    const other = { ...due(-1, 1, 3, hatched), id: 'other', name: 'Jar' }
    const lacking = { ...ready, name: 'Cone 6' }
    expect(roomSentence([other, lacking], NOW_MS, zone, [alarmOf('air-lost')])).toBe(
      'Cone 6 lacks air; Jar is ready to harvest.',
    )
    const lost = alarmOf('power-lost', { vesselId: null, value: 12 })
    expect(roomSentence([other], NOW_MS, zone, [lost])).toBe(
      '12 devices are silent; Jar is ready to harvest.',
    )
    expect(roomSentence([other], NOW_MS, zone, [{ ...lost, clearedAt: iso(NOW_MS) }])).toBe(
      'Jar is ready to harvest.',
    )
  })
})

it('says where a harvest was moved by what was seen elsewhere, and what that makes of what is out', () => {
  const now = { p10: 0.05, p50: 0.1, p90: 0.2 }
  const moved = {
    kind: 'count' as const,
    at: iso(NOW_MS - HOUR_MS),
    vesselId: 'v4',
    laterH: 3.6,
    hatchedBefore: { p10: 0.4, p50: 0.45, p90: 0.5 },
  }
  const said = (change: Partial<typeof moved>) =>
    movedText(due(2, 4, 6, { hatchedNow: now, moved: { ...moved, ...change } }), () => 'Cone 4', NOW_MS, zone)
  expect(said({})).toBe(
    'Moved by the count of Cone 4 at 11:00: 3 h 30 min later; 10\u00a0% may be out by now, where it was 45\u00a0%.',
  )
  expect(said({ laterH: -1, hatchedBefore: now })).toBe('Moved by the count of Cone 4 at 11:00: 1 h sooner.')
  expect(movedText(due(2, 4, 6), () => undefined, NOW_MS, zone)).toBe('')
})

describe('the sentence over the room', () => {
  it('names the next harvest, the ready one, or how many are ready', () => {
    const later = { ...due(9, 10, 12), name: 'Tall cone' }
    const soon = { ...due(2, 3, 5), name: 'Left cone' }
    const ready = { ...due(-1, 1, 3), name: 'Night batch' }
    expect(roomSentence([later, soon], NOW_MS, zone)).toBe('Next harvest: Left cone, 14:00.')
    expect(roomSentence([later, ready], NOW_MS, zone)).toBe('Night batch is ready to harvest.')
    const also = (name: string) => ({ ...due(-2, -1, 2), name })
    expect(roomSentence([ready, also('Tall cone')], NOW_MS, zone)).toBe(
      'Tall cone and Night batch are ready to harvest.',
    )
    expect(roomSentence([ready, also('Tall cone'), also('Jar')], NOW_MS, zone)).toBe(
      'Tall cone, Jar and Night batch are ready to harvest.',
    )
    expect(roomSentence([ready, also('A'), also('B'), also('C')], NOW_MS, zone)).toBe(
      '4 vessels are ready to harvest.',
    )
  })
  it('does not call ready what is past its best', () => {
    const past = { ...due(-8, -5, -2), name: 'Tall cone' }
    const ready = { ...due(-1, 1, 3), name: 'Night batch' }
    expect(roomSentence([past], NOW_MS, zone)).toBe('Tall cone is past its best.')
    const older = { ...due(-9, -6, -3), name: 'Left cone' }
    expect(roomSentence([past, older], NOW_MS, zone)).toBe('Left cone and Tall cone are past their best.')
    const guess = { ...due(-1, 1, 3, { hatchedNow: { p10: 0.1, p50: 0.6, p90: 0.9 } }), name: 'Jar' }
    expect(roomSentence([guess], NOW_MS, zone)).toBe('Jar is perhaps ready.')
    expect(roomSentence([past, ready], NOW_MS, zone)).toBe(
      'Night batch is ready to harvest; Tall cone is past its best.',
    )
  })
  it('puts what heats up to harm before what is perhaps ready, as its own vessel says it', () => {
    const guess = { ...due(-1, 1, 3, { hatchedNow: { p10: 0.1, p50: 0.6, p90: 0.9 } }), name: 'Jar' }
    const hot = due(2, 4, 6, { reachesHatch: false, expectedWaterC: { p10: 42, p50: 43, p90: 44 } })
    const warm = { ...hot, name: 'Corner', latest: { ...hot.latest, waterC: reading(29.3) } }
    expect(harvestSentence(warm, settings(), NOW_MS, zone)).toMatch(/Take heat off/)
    expect(roomSentence([guess, warm], NOW_MS, zone, [], settings())).toBe(
      'Corner is heating up; Jar is perhaps ready.',
    )
    const at = (waterC: number, heardMs = NOW_MS) =>
      roomSentence(
        [{ ...warm, latest: { ...warm.latest, waterC: reading(waterC, heardMs) } }],
        NOW_MS,
        zone,
        [],
        settings(),
      )
    expect(at(29.4)).toBe('Corner is too hot.')
    // What it is now nobody knows.
    expect(at(29.3, NOW_MS - HOUR_MS)).toBe('Corner was heating up when last heard.')
    expect(at(30, NOW_MS - HOUR_MS)).toBe('Corner was too hot when last heard.')
    // What has rung is told as that, once.
    const rung = alarm({ id: 'a', rule: 'water-heading-hot', vesselId: warm.id })
    expect(roomSentence([warm], NOW_MS, zone, [rung], settings())).toBe('Corner is heating up.')
    const cold = due(2, 4, 6, { reachesHatch: false, expectedWaterC: { p10: 17, p50: 18, p90: 19 } })
    expect(heatsToHarm(cold, settings())).toBe(false)
  })
  it('says when there is nothing', () => {
    expect(roomSentence([vessel({ batch: null, forecast: null })], NOW_MS, zone)).toBe(
      'No batch is on its way.',
    )
    expect(roomSentence([vessel({ forecast: null })], NOW_MS, zone)).toBe('No harvest in sight yet.')
  })
})

it('stageText says how much is out once something is, as finely as it is known', () => {
  const at = (p10: number, p50: number, p90: number) =>
    stageText(due(1, 2, 3, { stage: 'hatching', hatchedNow: { p10, p50, p90 } }))
  expect(at(0.001, 0.004, 0.006)).toBe('hatching')
  expect(at(0.41, 0.42, 0.43)).toBe('42 % out')
  expect(at(0.25, 0.42, 0.6)).toBe('about 40 % out')
})

it('says what the bracket on the ribbon means, and nothing where there is none', () => {
  const band = (hours: number) => iso(NOW_MS + hours * HOUR_MS)
  const base = due(1, 4, 8)
  if (!base.forecast) throw new Error('Cannot test the bracket: the vessel has no forecast')
  const { forecast } = base
  const say = (from: number, to: number, until: number) => {
    const bestBand = { p10: band(from), p50: band((from + to) / 2), p90: band(to) }
    const harvest = { ...forecast.harvest, bestBand, until: band(until) }
    return bracketText({ ...base, forecast: { ...forecast, harvest } }, NOW_MS, zone)
  }
  // One window, the sentence's own, and what may still move it; every time that is not today's has its day.
  expect(say(3, 12.5, 8)).toBe(
    'Window 13:00–20:00 as most likely; its best moment may be as early as 15:00. Of a slow lot all of it comes later, its best as late as tomorrow 00:30.',
  )
  // No best moment is told outside of a window that is told as sure.
  expect(say(-13, 3, 5)).toBe(
    'Window 13:00–17:00 as most likely. A quick lot may be at its best already: look; a slow one as late as 15:00.',
  )
  expect(say(0.5, 9, 8)).toBe(
    'Window 13:00–20:00 as most likely. A quick lot may be at its best as early as 12:30: look then; a slow one as late as 21:00.',
  )
  expect(say(11, 14, 38)).toBe(
    'Window 13:00–Fri 02:00; its best moment may be as early as 23:00, or as late as tomorrow 02:00.',
  )
  expect(say(14, 27, 26)).toBe(
    'Window 13:00–tomorrow 14:00 as most likely; its best moment may be as early as tomorrow 02:00. Of a slow lot all of it comes later, its best as late as tomorrow 15:00.',
  )
  expect(say(-5, -1, 8)).toBe('Window 13:00–20:00.')
  // The end of the reckoning is no moment: with ten days ahead of it, nothing is known of so late a bound.
  const END_H = 240
  const reckonedTo = END_H + (Date.parse(forecast.at) - NOW_MS) / HOUR_MS
  expect(say(3, reckonedTo, 8)).toBe(
    'Window 13:00–20:00 as most likely; its best moment may be as early as 15:00. How late it may be there is no telling: the water may get too hot to hatch.',
  )
  expect(say(-13, reckonedTo, 8)).toMatch(
    /already: look; of a slow one there is no telling: the water may get/,
  )
  expect(bracketText(vessel({ forecast: null }), NOW_MS, zone)).toBe('')
})
