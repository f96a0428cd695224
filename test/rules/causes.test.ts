import { describe, expect, it } from 'vitest'
import type { Alarm, RuleName } from '../../broker/rules/alarm.ts'
import { PLAIN } from '../../broker/rules/alarm.ts'
import { causesOf, type CauseFacts, type VesselLinks } from '../../broker/rules/causes.ts'
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
    newestAtMs: { water: T0 + HOUR, air: T0 + HOUR, light: T0 + HOUR },
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
    const unheard = facts({ v1: { newestAtMs: { water: T0 - 3 * MINUTE, air: NaN, light: NaN } } })
    expect(blamed(all, unheard)).toEqual([null, 'device-silent'])
    expect(blamed(all)).toEqual([null, null])
  })

  it('is the failed probe, for heat told after it; heat told before it stands', () => {
    const probe = alarm('probe-fault', T0)
    expect(blamed([probe, alarm('water-too-hot', T0 + SECOND)])).toEqual([null, 'probe-fault'])
    expect(blamed([probe, alarm('water-too-hot', T0 - SECOND)])).toEqual([null, null])
    expect(blamed([probe, alarm('water-too-cool', T0 - 30 * SECOND)])).toEqual([null, 'probe-fault'])
  })

  it('is one pump for several vessels: the most urgent tells, then the first', () => {
    const all = [
      alarm('air-lost', T0, { vesselId: 'v1' }),
      alarm('air-lost', T0 + 10 * SECOND, { vesselId: 'v2', priority: 'critical' }),
      alarm('air-lost', T0 + 20 * SECOND, { vesselId: 'v3' }),
      alarm('air-lost', T0 + HOUR, { vesselId: 'v4' }),
    ]
    const causes = causesOf(all, facts())
    expect(all.map(({ id }) => causes.get(id))).toEqual([all[1]!.id, undefined, all[1]!.id, undefined])
  })

  it('is none that is over or out of service, and nothing shelved is made a consequence', () => {
    const cold = alarm('water-too-cool', T0 + MINUTE)
    for (const state of ['return-to-normal-unacknowledged', 'latched', 'out-of-service'] as const)
      expect(blamed([alarm('air-lost', T0, { state }), cold])).toEqual([null, null])
    for (const state of ['acknowledged', 'shelved', 'suppressed-by-design'] as const)
      expect(blamed([alarm('air-lost', T0, { state }), cold])).toEqual([null, 'air-lost'])
    expect(blamed([alarm('air-lost', T0), { ...cold, state: 'shelved' }])).toEqual([null, null])
  })

  it('never silences what calls louder than it does', () => {
    const low = alarm('light-out', T0, { priority: 'low' })
    const loud = alarm('water-too-cool', T0 + MINUTE, { priority: 'high' })
    expect(blamed([low, loud])).toEqual([null, null])
    // Named while it was as loud, and no longer once it is louder.
    expect(blamed([low, { ...loud, state: 'suppressed-by-design', causedBy: low.id }])).toEqual([null, null])
  })
})
