import { describe, expect, it } from 'vitest'
import { firstCall } from '../../../dashboard/replay/alarms-then.ts'
import { byKey, byWheel } from '../../../dashboard/replay/handle-keys.ts'
import { recordingOf } from '../../../dashboard/replay/recording.ts'
import {
  bothUnits,
  costText,
  firstCallText,
  firstCostText,
  hatchOf,
  momentText,
  remainderText,
  sinceStart,
  sureText,
} from '../../../dashboard/replay/words.ts'
import { aReplay, HOUR_MS, MINUTE_MS, START_MS } from './a-replay.ts'

const zone = { locale: 'en-GB', timeZone: 'UTC' }
const recording = recordingOf(aReplay())
const span = { fromMs: START_MS, toMs: START_MS + 30 * HOUR_MS }
const band = (p10: number, p50: number, p90: number) => ({ p10, p50, p90 })
type Band = ReturnType<typeof band>

describe('words of a batch looked at again', () => {
  it('says a moment with its clock, its age and its water', () => {
    const nowMs = START_MS + 31 * HOUR_MS
    const atMs = START_MS + 18 * HOUR_MS + 20 * MINUTE_MS
    expect(momentText(recording, atMs, 'C', nowMs, zone)).toBe(
      'yesterday 12:20, 18 h 20 min after the start, water 35.0 °C',
    )
    expect(momentText(recording, atMs, 'F', atMs, zone)).toBe(
      '12:20, 18 h 20 min after the start, water 95.0 °F',
    )
    expect(momentText(recording, START_MS + 8.5 * HOUR_MS, 'C', atMs, zone)).toContain(
      'water no good reading for 31 min',
    )
  })

  it('counts time since the start to the minute', () => {
    expect([0, 59 * MINUTE_MS, 18.5 * HOUR_MS].map(sinceStart)).toEqual(['0 min', '59 min', '18 h 30 min'])
  })

  it('gives how sure as word and number, and never as certain', () => {
    expect(sureText({ sure: 'likely', probability: 0.72 })).toBe('likely, 72 in 100')
    expect(sureText({ sure: 'as good as certain', probability: 1 })).toBe('as good as certain, 99 in 100')
  })

  it('gives a cost in points and hours, and keeps quiet of what is none', () => {
    const none = band(0, 0, 0)
    const cost = (hatchPoints: Band, foodPoints: Band, laterH: Band, noLossCounted?: boolean) =>
      costText({ cost: { hatchPoints, foodPoints, laterH }, ...(noLossCounted ? { noLossCounted } : {}) })
    expect(cost(band(20, 34, 48), none, band(1, 2.1, 3))).toBe(
      '34 points of hatch (20 to 48), 2.1 h later out (1 to 3)',
    )
    expect(cost(none, band(5, 9, 12), none)).toBe('9 points of food (5 to 12)')
    expect(cost(none, none, band(-2, -1, 0))).toBe('1 h sooner out')
    expect(cost(none, none, band(50, 60, 60))).toBe('out more than two days later, if at all')
    expect(cost(none, none, none)).toBe('')
  })

  it('gives it in words of the whole and in nauplii, and nothing later where nothing came out', () => {
    const cost = { hatchPoints: band(59, 73, 83), foodPoints: band(0, 0, 0), laterH: band(4, 5, 6) }
    const balance = { without: band(59, 72, 83), counted: { low: 0, best: 0, high: 2 } }
    const before = { naupliiBefore: band(0, 640_000, 0), hatchShareBefore: band(0, 0.8, 0) }
    expect(costText({ cost }, hatchOf(balance, before))).toBe(
      '73 points of hatch (59 to 83): nearly all of it, about 580,000 nauplii',
    )
    const some = { ...balance, counted: { low: 30, best: 36, high: 40 } }
    expect(costText({ cost: { ...cost, hatchPoints: band(30, 36, 40) } }, hatchOf(some))).toBe(
      '36 points of hatch (30 to 40): about half of it; 5 h later out (4 to 6)',
    )
    expect(costText({ cost: { ...cost, hatchPoints: band(3, 4, 5) } }, hatchOf(some))).toBe(
      '4 points of hatch (3 to 5), 5 h later out (4 to 6)',
    )
  })

  it('keeps the delay of what cost nothing by the count', () => {
    const cost = { hatchPoints: band(0, 0, 0), foodPoints: band(0, 0, 0), laterH: band(3, 3.6, 4) }
    expect(costText({ cost, noLossCounted: true })).toBe(
      '3.6 h later out (3 to 4), no loss that the count shows',
    )
  })

  it('says of what spoilt the record what that hides', () => {
    const none = band(0, 0, 0)
    const cost = { hatchPoints: none, foodPoints: none, laterH: none }
    const said = (kind: 'readings-missing' | 'too-cool', unexplained: Band | null) =>
      firstCostText({ kind, cost }, { without: none, expected: none, counted: null, unexplained })
    expect(said('readings-missing', band(-80, -72, -41))).toMatch(/^not known: 72 points .* missing/)
    expect(said('readings-missing', band(-9, -1, 6))).toBe('nothing that the count shows')
    expect(said('readings-missing', null)).toMatch(/nobody counted/)
    expect(said('too-cool', band(-80, -72, -41))).toBe('nothing to speak of')
  })

  it('says what is left unexplained', () => {
    const balance = {
      without: band(60, 70, 80),
      expected: band(40, 45, 50),
      counted: { low: 18, best: 22, high: 26 },
    }
    expect(remainderText({ ...balance, unexplained: band(-30, -23, -15) })).toContain(
      '23 points are left unexplained',
    )
    expect(remainderText({ ...balance, unexplained: band(-30, -5, 15) })).toContain('agrees')
    expect(remainderText({ ...balance, counted: null, unexplained: null })).toBe('')
  })

  it('puts the own unit first, and does not take a difference for a temperature', () => {
    expect(bothUnits('Above 29.4 °C for 3 h.', 'C')).toBe('Above 29.4 °C (84.9 °F) for 3 h.')
    expect(bothUnits('Above 29.4 °C for 3 h.', 'F')).toBe('Above 84.9 °F (29.4 °C) for 3 h.')
    expect(bothUnits('25 to 28 °C are preferred', 'F')).toBe('77 to 82.4 °F (25 to 28 °C) are preferred')
    expect(bothUnits('It reads 1.5 °C too low.', 'F')).toBe('It reads 2.7 °F (1.5 °C) too low.')
    expect(bothUnits('Water 36.0 °C (96.8 °F) at the most.', 'F')).toBe(
      'Water 96.8 °F (36.0 °C) at the most.',
    )
    expect(bothUnits('Water 36.0 °C (96.8 °F) at the most.', 'C')).toBe(
      'Water 36.0 °C (96.8 °F) at the most.',
    )
  })

  it('tells what called first, and who came', () => {
    const nowMs = START_MS + 20 * HOUR_MS
    expect(firstCallText(firstCall(recording.replay.alarms), nowMs, zone)).toBe(
      'Too hot called first, 04:06; Ada acknowledged it 3 h 54 min later.',
    )
    expect(firstCallText(null, nowMs, zone)).toBe('No alarm called during this batch.')
  })
})

describe('the handle', () => {
  const atMs = START_MS + 10 * HOUR_MS
  it.each([
    ['ArrowRight', false, 5 * MINUTE_MS],
    ['ArrowLeft', false, -5 * MINUTE_MS],
    ['ArrowUp', true, MINUTE_MS],
    ['ArrowDown', true, -MINUTE_MS],
    ['PageUp', false, HOUR_MS],
    ['PageDown', false, -HOUR_MS],
    ['Home', false, -10 * HOUR_MS],
    ['End', false, 20 * HOUR_MS],
  ])('%s, shift %s', (key, shiftKey, by) => {
    expect(byKey({ key, shiftKey }, atMs, span)).toBe(atMs + by)
  })

  it('stays within the batch and leaves other keys alone', () => {
    expect(byKey({ key: 'PageDown', shiftKey: false }, START_MS + 1, span)).toBe(span.fromMs)
    expect(byKey({ key: 'ArrowRight', shiftKey: false }, span.toMs, span)).toBe(span.toMs)
    expect(byKey({ key: 'a', shiftKey: false }, atMs, span)).toBeNull()
  })

  it('turns with the wheel, whichever way it turns', () => {
    expect(byWheel({ deltaX: 0, deltaY: 100 })).toBe(10 * MINUTE_MS)
    expect(byWheel({ deltaX: -50, deltaY: 3 })).toBe(-5 * MINUTE_MS)
  })
})
