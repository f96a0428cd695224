import { describe, expect, it } from 'vitest'
import { alarmsThen, alarmThen, firstCall } from '../../../dashboard/replay/alarms-then.ts'
import { beganMs, shadesOf } from '../../../dashboard/replay/diagnosed.ts'
import { happeningAt, happeningsOf, nextMoment } from '../../../dashboard/replay/happenings.ts'
import { recordingOf } from '../../../dashboard/replay/recording.ts'
import { aDiagnosis, aReplay, HOUR_MS, START_MS } from './a-replay.ts'

const replay = aReplay()
const recording = recordingOf(replay)
const hour = (hours: number) => START_MS + hours * HOUR_MS

describe('what happened', () => {
  const happenings = happeningsOf(recording, aDiagnosis())

  it('stands in the order of time, from the start to the end', () => {
    expect(happenings.map(({ kind, words, by }) => `${kind}: ${words}${by ? `, ${by}` : ''}`)).toEqual([
      'batch: Cysts into the water',
      'person: Foam, Ada',
      'reminder: Asked to be done: Knock the ring down',
      'gap: No good water reading for 1 h 1 min',
      'cause: Cause 1 begins: too hot',
      'alarm: Too hot: alarm, it called',
      'alarm: Too hot: acknowledged, Ada',
      'hatch: About a tenth is out, as reckoned',
      'hatch: About nine in ten are out, as reckoned',
      'alarm: Too hot: over with its batch',
      'person: Smells, Ada',
      'batch: The batch ends',
    ])
  })

  it('tells water by a thermometer in the reader’s unit first', () => {
    const [event] = replay.events
    const measured = { ...event!, kind: 'temperature', waterC: 26.8 } as (typeof replay.events)[number]
    const told = (unit: 'C' | 'F') =>
      happeningsOf(recordingOf({ ...replay, events: [measured] }), null, unit).map(({ words }) => words)
    expect(told('F')).toContain('Water 80.2 °F (26.8 °C) by a thermometer in the hand')
    expect(told('C')).toContain('Water 26.8 °C (80.2 °F) by a thermometer in the hand')
  })

  it('keeps what was written down later within the batch', () => {
    const last = happenings.at(-2)
    expect(last).toMatchObject({ words: 'Smells', atMs: hour(30) })
  })

  it('jumps to the next and back, and knows the last that has happened', () => {
    expect(nextMoment(happenings, hour(3.5), 1)).toBe(hour(4))
    expect(nextMoment(happenings, hour(3.5), -1)).toBe(hour(3))
    expect(nextMoment(happenings, START_MS, -1)).toBeNull()
    expect(nextMoment(happenings, hour(30), 1)).toBeNull()
    expect(happeningAt(happenings, hour(3) - 1)).toBe(0)
    expect(happeningAt(happenings, hour(3))).toBe(1)
    expect(happeningAt(happenings, START_MS - 1)).toBe(-1)
  })

  it('says nothing of causes while there is no diagnosis, and ends an open batch with nothing', () => {
    const open = recordingOf({ ...replay, batch: { ...replay.batch, endedAt: null } })
    const kinds = happeningsOf(open, null)
    expect(kinds.some(({ kind }) => kind === 'cause')).toBe(false)
    expect(kinds.filter(({ kind }) => kind === 'batch')).toHaveLength(1)
  })
})

describe('an alarm then', () => {
  it.each([
    [10, null],
    [10.1, 'unacknowledged'],
    [13.9, 'unacknowledged'],
    [14, 'acknowledged'],
    [30, null],
  ])('at %d h', (hours, state) => {
    const then = alarmsThen(replay.alarms, hour(hours))
    expect(then[0]?.state ?? null).toBe(state)
    if (state === 'unacknowledged') expect(then[0]).toMatchObject({ acknowledgedBy: null, clearedAt: null })
    if (state === 'acknowledged') expect(then[0]).toMatchObject({ acknowledgedBy: 'Ada', clearedAt: null })
  })

  it('is acknowledged too where only its own record tells so', () => {
    const [entry] = replay.alarms
    const steps = entry!.steps.map(step => ({ ...step, reason: 'batch-ended' as const }))
    expect(alarmThen({ ...entry!, steps }, hour(15))?.acknowledgedBy).toBe('Ada')
  })

  it('that called first is told with who came, and when', () => {
    expect(firstCall(replay.alarms)).toMatchObject({
      calledAtMs: hour(10.1),
      acknowledgedAtMs: hour(14),
      by: 'Ada',
    })
    expect(firstCall([])).toBeNull()
  })
})

describe('what speaks for a cause', () => {
  it('is one stretch where its pieces overlap', () => {
    expect(shadesOf(aDiagnosis())).toEqual([{ fromMs: hour(10), toMs: hour(30), rank: 1, on: 'water' }])
    expect(shadesOf(null)).toEqual([])
  })

  it('began with its first span', () => {
    const [cause] = aDiagnosis().causes
    expect(beganMs(cause!)).toBe(hour(10))
    expect(beganMs({ ...cause!, evidence: [] })).toBeNull()
  })
})
