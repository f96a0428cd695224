import { describe, expect, it } from 'vitest'
import type { Alarm, RuleName } from '../../broker/rules/alarm.ts'
import { PLAIN } from '../../broker/rules/alarm.ts'
import { causesOf, liftsOf, type CauseFacts, type VesselLinks } from '../../broker/rules/causes.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import { HOUR, MINUTE, SECOND, T0 } from './helpers.ts'

let ids = 0
const alarm = (rule: RuleName, raisedAtMs: number, more: Partial<Alarm> = {}): Alarm => ({
  ...PLAIN,
  id: `a${ids++}`,
  vesselId: 'v1',
  rule,
  state: 'unacknowledged',
  priority: defaultRules[rule].priority,
  raisedAtMs,
  announcedAtMs: raisedAtMs,
  clearedAtMs: null,
  acknowledgedAtMs: null,
  acknowledgedBy: null,
  reason: 'below-limit',
  text: '',
  value: null,
  limit: null,
  ...more,
})
const facts = (vessels: Record<string, Partial<VesselLinks>> = {}): CauseFacts => ({
  settings: defaultRules,
  vessel: id => ({
    devices: [`device-of-${id}`],
    newestAtMs: { water: T0 + HOUR, air: T0 + HOUR, light: T0 + HOUR, level: NaN },
    ...vessels[id],
  }),
})
const blamed = (alarms: readonly Alarm[], known = facts()) => {
  const causes = causesOf(alarms, known)
  return alarms.map(({ id }) => alarms.find(other => other.id === causes.get(id))?.rule ?? null)
}

describe('one cause', () => {
  it('is the dead lamp, for the cooling that follows where the lamp heats, and not where it does not', () => {
    const both = [alarm('light-out', T0), alarm('water-too-cool', T0 + HOUR)]
    expect(blamed(both, facts({ v1: { lampHeats: true } }))).toEqual([null, 'light-out'])
    expect(blamed(both, facts({ v1: { lampHeats: false } }))).toEqual([null, null])
  })

  it('is the stopped pump, for the bottom that cools, but not for heat', () => {
    const all = [alarm('air-lost', T0), alarm('water-too-cool', T0 + HOUR), alarm('water-too-hot', T0 + HOUR)]
    expect(blamed(all)).toEqual([null, 'air-lost', null])
  })

  it('is the lost power, for the devices it silenced, and not for one that fell silent long after', () => {
    const silent = (vesselId: string, raisedAtMs: number) =>
      alarm('device-silent', raisedAtMs, { vesselId, value: 180 })
    const all = [
      alarm('power-lost', T0, { vesselId: null }),
      silent('v1', T0 + SECOND),
      silent('v2', T0 + 40 * SECOND),
      silent('v3', T0 + HOUR),
    ]
    expect(blamed(all)).toEqual([null, 'power-lost', 'power-lost', null])
  })

  it('is one silent device, for all the vessels it watches', () => {
    const all = [
      alarm('device-silent', T0, { vesselId: 'v2' }),
      alarm('device-silent', T0 + SECOND),
      alarm('device-silent', T0 + SECOND, { vesselId: 'v3' }),
    ]
    const shared = facts({ v1: { devices: ['one'] }, v2: { devices: ['one'] } })
    expect(blamed(all, shared)).toEqual([null, 'device-silent', null])
  })

  it('is the silent device, for what its delays bring about afterwards without a reading', () => {
    const all = [alarm('device-silent', T0), alarm('water-too-cool', T0 + 10 * MINUTE)]
    const unheard = facts({
      v1: { newestAtMs: { water: T0 - 3 * MINUTE, air: NaN, light: NaN, level: NaN } },
    })
    expect(blamed(all, unheard)).toEqual([null, 'device-silent'])
    expect(blamed(all)).toEqual([null, null])
  })

  it('is the failed probe, for heat told after it; heat told before it stands', () => {
    const probe = alarm('probe-fault', T0)
    expect(blamed([probe, alarm('water-too-hot', T0 + SECOND)])).toEqual([null, 'probe-fault'])
    expect(blamed([probe, alarm('water-too-hot', T0 - SECOND)])).toEqual([null, null])
    expect(blamed([probe, alarm('water-too-cool', T0 - 30 * SECOND)])).toEqual([null, 'probe-fault'])
  })

  it('is one pump for several vessels: the one that was told first tells of all, as loudly as the loudest', () => {
    const all = [
      alarm('air-lost', T0 + 10 * SECOND, { vesselId: 'v1' }),
      // Its device was slow: it tells of an earlier moment, and is louder.
      alarm('air-lost', T0, { vesselId: 'v2', priority: 'critical', action: 'Run.', text: 'Nauplii!' }),
      alarm('air-lost', T0 + 20 * SECOND, { vesselId: 'v3' }),
      alarm('air-lost', T0 + HOUR, { vesselId: 'v4' }),
    ]
    const causes = causesOf(all, facts())
    const [first, loudest] = all.map(({ id }) => id)
    expect(all.map(({ id }) => causes.get(id))).toEqual([undefined, first, first, undefined])
    expect([...liftsOf(all, causes)]).toEqual([
      [first, { by: loudest, priority: 'critical', action: 'Run.', text: 'Nauplii!' }],
    ])
    // Once named it stays so, whatever the order in which they are read back.
    const read = all.map(each => ({ ...each, causedBy: causes.get(each.id) ?? null })).reverse()
    expect(causesOf(read, facts())).toEqual(causes)
  })

  it('is none that is silent for work on another vessel: nobody hears of it', () => {
    const hushed = alarm('air-lost', T0, { state: 'suppressed-by-design', suppressedUntilMs: T0 + HOUR })
    const other = alarm('air-lost', T0 + SECOND, { vesselId: 'v2' })
    expect(blamed([hushed, other])).toEqual([null, null])
    expect(blamed([hushed, { ...other, causedBy: hushed.id, state: 'suppressed-by-design' }])).toEqual([
      null,
      null,
    ])
    expect(blamed([hushed, alarm('water-too-cool', T0 + MINUTE)])).toEqual([null, 'air-lost'])
  })

  it('is the water that runs out, for the probe that hangs in the air and the heat of what is left', () => {
    const all = [
      alarm('water-level', T0),
      alarm('probe-out-of-water', T0 + MINUTE),
      alarm('water-heading-hot', T0 + HOUR),
      alarm('water-too-cool', T0 + HOUR),
    ]
    expect(blamed(all)).toEqual([null, 'water-level', 'water-level', 'probe-out-of-water'])
    // Whoever was called for the probe was told to see to the water.
    expect(blamed([all[1]!, alarm('water-level', T0 + 2 * MINUTE)])).toEqual([null, 'probe-out-of-water'])
    expect(blamed([all[1]!, alarm('water-level', T0 + HOUR)])).toEqual(['water-level', null])
  })

  it('is another one for a sensor of the same device that fails another time', () => {
    const shared = facts({ v1: { devices: ['one'] }, v2: { devices: ['one'] } })
    const first = alarm('device-silent', T0, { reason: 'not-heard' })
    const later = alarm('device-silent', T0 + HOUR, { vesselId: 'v2' })
    expect(blamed([first, later], shared)).toEqual([null, null])
    // The whole device fell silent then, and the first has said so.
    const grown = { ...first, announcedAtMs: T0 + HOUR - SECOND }
    expect(blamed([grown, later], shared)).toEqual([null, 'device-silent'])
    expect(blamed([{ ...grown, reason: 're-alarm' }, later], shared)).toEqual([null, null])
    const held = { ...first, worseSinceMs: T0 + HOUR }
    expect(blamed([held, later], shared)).toEqual([null, 'device-silent'])
  })

  it('is no warning that was put off, once what it warned of has come', () => {
    const heading = alarm('water-heading-hot', T0)
    const hot = alarm('water-too-hot', T0 + HOUR)
    expect(blamed([{ ...heading, state: 'acknowledged' }, hot])).toEqual([null, 'water-heading-hot'])
    expect(blamed([{ ...heading, state: 'shelved' }, hot])).toEqual([null, null])
    // What had come by then was put off with it, and makes it no quieter.
    const [off, with_] = [{ ...heading, state: 'shelved' } as const, { ...hot, causedBy: heading.id }]
    expect(blamed([off, with_])).toEqual([null, 'water-heading-hot'])
    expect(liftsOf([off, with_], causesOf([off, with_], facts())).get(off.id)).toMatchObject({ by: hot.id })
    // The same thing elsewhere was put off with it.
    const airLost = (vesselId: string) => alarm('air-lost', T0, { vesselId })
    const strip = facts({ v1: { devices: ['d'] }, v2: { devices: ['d'] } })
    const [first, second] = [airLost('v1'), airLost('v2')]
    expect(blamed([{ ...first, state: 'shelved' }, second], strip)).toEqual(blamed([first, second], strip))
  })

  it('is not the warning that is brought back after what it warned of was called: that one tells of both', () => {
    const heading = alarm('water-heading-hot', T0, { announcedAtMs: T0 + 2 * HOUR, reason: 'unshelved' })
    const hot = alarm('water-too-hot', T0 + HOUR)
    for (const state of ['unacknowledged', 'acknowledged'] as const) {
      const both = [heading, { ...hot, state }]
      expect(blamed(both, { ...facts(), onTheirOwn: new Set([hot.id]) })).toEqual(['water-too-hot', null])
      // Foretold and called in the same step: the warning tells.
      expect(blamed(both)).toEqual([null, 'water-heading-hot'])
    }
    // A root that is brought back calls for itself, and what was called meanwhile is left as it was answered.
    const lamp = alarm('light-out', T0, { reason: 'unshelved' })
    const cold = alarm('water-too-cool', T0 + HOUR, { state: 'acknowledged' })
    expect(blamed([lamp, cold], { ...facts(), onTheirOwn: new Set([cold.id]) })).toEqual([null, null])
    // What is older is still found to have a cause that comes to light later.
    const older = alarm('water-too-cool', T0 - MINUTE)
    expect(blamed([older, lamp], { ...facts(), onTheirOwn: new Set([older.id]) })).toEqual([
      'light-out',
      null,
    ])
  })

  it('is none that is over or out of service, and nothing shelved is made a consequence', () => {
    const cold = alarm('water-too-cool', T0 + MINUTE)
    for (const state of ['return-to-normal-unacknowledged', 'latched', 'out-of-service'] as const)
      expect(blamed([alarm('air-lost', T0, { state }), cold])).toEqual([null, null])
    for (const state of ['acknowledged', 'shelved', 'suppressed-by-design'] as const)
      expect(blamed([alarm('air-lost', T0, { state }), cold])).toEqual([null, 'air-lost'])
    expect(blamed([alarm('air-lost', T0), { ...cold, state: 'shelved' }])).toEqual([null, null])
  })

  it('becomes as loud as what came of it through another, but for what is not to be believed', () => {
    const lamp = alarm('light-out', T0, { priority: 'low' })
    const cold = alarm('water-too-cool', T0 + MINUTE, { priority: 'high' })
    const next = alarm('water-too-cool', T0 + HOUR, { vesselId: 'v2', priority: 'critical', text: 'worst' })
    const all = [lamp, cold, next]
    const causes = causesOf(all, facts())
    expect(all.map(({ id }) => causes.get(id))).toEqual([undefined, lamp.id, cold.id])
    expect(liftsOf(all, causes).get(lamp.id)).toMatchObject({ by: next.id, text: 'worst' })
    const probe = alarm('probe-fault', T0, { priority: 'low' })
    const hot = alarm('water-too-hot', T0 + SECOND)
    expect(liftsOf([probe, hot], causesOf([probe, hot], facts())).size).toBe(0)
  })

  it('of the whole room silences nothing that calls louder than it does: it does not grow louder', () => {
    const power = alarm('power-lost', T0, { vesselId: null, priority: 'low' })
    const silent = alarm('device-silent', T0 + SECOND, { value: 180 })
    expect(blamed([power, silent])).toEqual([null, null])
    expect(blamed([power, { ...silent, state: 'suppressed-by-design', causedBy: power.id }])).toEqual([
      null,
      null,
    ])
  })
})
