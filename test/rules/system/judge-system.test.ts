import { describe, expect, it } from 'vitest'
import { defaultRules } from '../../../broker/rules/defaults.ts'
import type { SystemFacts, SystemMemory } from '../../../broker/rules/system/contract.ts'
import { actOnSystem, judgeSystem, type SystemAct } from '../../../broker/rules/system/judge-system.ts'
import { calmSystem, decodeSystem, encodeSystem } from '../../../broker/rules/system/memory.ts'
import type { SystemRuleName } from '../../../broker/rules/alarm.ts'
import { MINUTE, SECOND, T0 } from '../helpers.ts'

const WELL: SystemFacts = {
  silentTogether: null,
  notKept: null,
  commitMs: 3,
  clockJump: null,
  backupOverdue: null,
  restored: null,
  failing: [],
}

class System {
  memory: SystemMemory = calmSystem()
  #ids = 0
  readonly #parts = (facts: SystemFacts, nowMs: number, settings = defaultRules) => ({
    facts,
    nowMs,
    settings,
    newId: () => `s${this.#ids++}`,
  })

  look(facts: Partial<SystemFacts>, nowMs: number, settings = defaultRules) {
    const { memory, transitions } = judgeSystem(
      this.memory,
      this.#parts({ ...WELL, ...facts }, nowMs, settings),
    )
    this.memory = memory
    return transitions
  }

  act(rule: SystemRuleName, act: SystemAct, nowMs: number) {
    const { memory, transitions } = actOnSystem(this.memory, rule, act, this.#parts(WELL, nowMs))
    this.memory = memory
    return transitions
  }
}

const silent = (devices: number, sinceMs: number): SystemFacts['silentTogether'] => ({
  devices: Array.from({ length: devices }, (_, at) => `bench-${at}`),
  vessels: ['Cone 1', 'Cone 2', 'Cone 3', 'Cone 4', 'Cone 5'].slice(0, devices),
  sinceMs,
  heardStill: 0,
})

describe('the rules of the system’s own', () => {
  it('say nothing while all is well', () => {
    const system = new System()
    for (let s = 0; s < 600; s++) expect(system.look({}, T0 + s * SECOND)).toEqual([])
  })

  it('calls once, for the room, when several devices fall silent at once, and not for one', () => {
    const system = new System()
    expect(system.look({ silentTogether: silent(5, T0) }, T0 + 99 * SECOND)).toEqual([])
    const [raised] = system.look({ silentTogether: silent(5, T0) }, T0 + 100 * SECOND)
    expect(raised).toMatchObject({
      raised: true,
      alarm: { vesselId: null, rule: 'power-lost', state: 'unacknowledged', priority: 'critical', value: 5 },
    })
    expect(raised!.alarm.text).toContain('All 5 devices (on Cone 1, Cone 2, Cone 3 and 2 more)')
    expect(system.look({ silentTogether: silent(5, T0) }, T0 + 200 * SECOND)).toEqual([])
    expect(new System().look({ silentTogether: silent(1, T0) }, T0 + 3600 * SECOND)).toEqual([])
  })

  it('calls for a disk that refuses, after its delay, and clears when it takes again', () => {
    const system = new System()
    const notKept = { detail: 'the disk is full', sinceMs: T0 }
    expect(system.look({ notKept }, T0)).toEqual([])
    expect(system.look({ notKept }, T0 + MINUTE - 1)).toEqual([])
    const [raised] = system.look({ notKept }, T0 + MINUTE)
    expect(raised!.alarm).toMatchObject({ rule: 'disk-full', reason: 'not-kept' })
    expect(raised!.alarm.text).toContain('the disk is full')
    system.act('disk-full', { kind: 'acknowledge', by: 'Ann' }, T0 + 2 * MINUTE)
    system.look({}, T0 + 3 * MINUTE)
    const [over] = system.look({}, T0 + 4 * MINUTE)
    expect(over).toMatchObject({ raised: false, alarm: { state: 'normal', reason: 'kept-again' } })
    expect(system.memory['disk-full'].alarm).toBeNull()
  })

  it.each([
    ['store-slow', { commitMs: 6000 }],
    ['clock-jumped', { clockJump: { byMs: -90_000, atMs: T0 } }],
    ['backup-overdue', { backupOverdue: { detail: 'no room', sinceMs: T0 - 24 * 3600 * SECOND } }],
    ['data-restored', { restored: { ofMs: T0 - 3600 * SECOND, keptIn: 'data/damaged-1', atMs: T0 } }],
    ['channel-failing', { failing: [{ channel: 'email', detail: 'refused', sinceMs: T0 }] }],
  ] as const)('%s is called with an action', (rule, facts) => {
    const system = new System()
    const said = [0, 30, 60, 61].flatMap(s => system.look(facts, T0 + s * SECOND))
    expect(said).toHaveLength(1)
    expect(said[0]!.alarm).toMatchObject({ rule, vesselId: null })
    expect(said[0]!.alarm.action.length).toBeLessThanOrEqual(60)
    expect(said[0]!.alarm.text).toContain(said[0]!.alarm.action)
  })

  it.each([
    ['No mail server is set up', 0, 'E-mail fails: no mail server is set up. See Settings.'],
    ['The mail server refuses: relaying is denied here', 0, 'E-mail fails. See why under Settings.'],
    ['', 2 * MINUTE, 'E-mail fails. See why under Settings.'],
  ])('says first what is wrong with a way to people: %s', (detail, agoMs, action) => {
    const failing = [{ channel: 'email', detail, sinceMs: T0 - agoMs }]
    const [{ alarm } = expect.fail('nobody was called')] = new System().look({ failing }, T0)
    expect(alarm.action).toBe(action)
    expect(alarm.text.toLowerCase()).toContain(detail.toLowerCase())
    expect(alarm.text).toMatch(
      agoMs === 0 ? /do not get through: an alarm/ : /through, for 2 min now: an alarm/,
    )
  })

  it('passes over a clock that steps by less than the limit', () => {
    expect(new System().look({ clockJump: { byMs: 59_000, atMs: T0 } }, T0)).toEqual([])
  })

  it('goes on after a restart as it was, and sends nothing twice', () => {
    const system = new System()
    const failing = [{ channel: 'webhook', detail: 'no answer', sinceMs: T0 }]
    system.look({ failing }, T0)
    system.act('channel-failing', { kind: 'acknowledge', by: 'Ann' }, T0 + SECOND)
    const again = new System()
    again.memory = decodeSystem(encodeSystem(system.memory))
    expect(again.memory).toEqual(system.memory)
    expect(again.look({ failing }, T0 + MINUTE)).toEqual([])
    expect(decodeSystem('{"version":9}')).toEqual(calmSystem())
    expect(decodeSystem('no json')).toEqual(calmSystem())
  })

  it('comes back from the shelf if it still holds', () => {
    const system = new System()
    const failing = [{ channel: 'webhook', detail: 'no answer', sinceMs: T0 }]
    system.look({ failing }, T0)
    system.act(
      'channel-failing',
      { kind: 'shelve', by: 'Ann', untilMs: T0 + 10 * MINUTE, once: false },
      T0 + SECOND,
    )
    expect(system.look({ failing }, T0 + 9 * MINUTE)).toEqual([])
    expect(system.look({ failing }, T0 + 10 * MINUTE)).toMatchObject([
      { raised: true, alarm: { reason: 'unshelved' } },
    ])
  })

  it('withdraws what a rule had raised when it is switched off', () => {
    const system = new System()
    const failing = [{ channel: 'webhook', detail: 'no answer', sinceMs: T0 }]
    system.look({ failing }, T0)
    const off = { ...defaultRules, 'channel-failing': { ...defaultRules['channel-failing'], enabled: false } }
    expect(system.look({ failing }, T0 + SECOND, off)).toMatchObject([
      { raised: false, alarm: { state: 'normal' } },
    ])
    expect(system.look({ failing }, T0 + 2 * SECOND, off)).toEqual([])
  })
})
