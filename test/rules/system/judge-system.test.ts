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

const silent = (devices: number, sinceMs: number, still = devices): SystemFacts['silentTogether'] => ({
  moments: [{ devices: Array.from({ length: devices }, (_, at) => `bench-${at}`), sinceMs }],
  silentStill: still,
  vessels: ['Cone 1', 'Cone 2', 'Cone 3', 'Cone 4', 'Cone 5'].slice(devices - still, devices),
  heardStill: devices - still,
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

  it('counts on as more devices fall silent or come back, without a call', () => {
    const system = new System()
    const at = (s: number) => T0 + s * SECOND
    system.look({ silentTogether: silent(2, T0) }, at(100))
    const [more] = system.look({ silentTogether: silent(5, T0) }, at(130))
    expect(more).toMatchObject({
      raised: false,
      alarm: { state: 'unacknowledged', value: 5, announcedAtMs: at(100), saidAtMs: at(130) },
    })
    expect(more!.alarm.text).toMatch(
      /^All 5 devices \(on .*\) fell silent at the same moment, 2 min 10 s ago:/,
    )
    // Time alone changes no words.
    expect(system.look({ silentTogether: silent(5, T0) }, at(300))).toEqual([])
    system.act('power-lost', { kind: 'acknowledge', by: 'Ann' }, at(310))
    const [fewer] = system.look({ silentTogether: silent(5, T0, 3) }, at(320))
    expect(fewer).toMatchObject({ raised: false, alarm: { state: 'acknowledged', value: 3 } })
    expect(fewer!.alarm.text).toContain(
      '5 devices fell silent at the same moment, 5 min ago, and 3 of them (on Cone 3, Cone 4 and Cone 5) are silent still:',
    )
    // One that is left is silent for a cause of its own.
    expect(system.look({ silentTogether: silent(5, T0, 1) }, at(330))).toEqual([])
    expect(system.look({ silentTogether: silent(5, T0, 1) }, at(340))).toMatchObject([
      { raised: false, alarm: { state: 'normal', value: 3 } },
    ])
  })

  it('calls anew for devices that follow, not sooner than ten minutes after a call that nobody answered', () => {
    const system = new System()
    const at = (min: number) => T0 + min * MINUTE
    const first = { devices: ['a', 'b'], sinceMs: T0 }
    const two = (sinceMs: number): SystemFacts['silentTogether'] => ({
      moments: [first, { devices: ['c', 'd', 'e'], sinceMs }],
      silentStill: 5,
      vessels: ['Cone 1'],
      heardStill: 1,
    })
    const one = { moments: [first], silentStill: 2, vessels: ['Cone 1'], heardStill: 4 }
    system.look({ silentTogether: one }, at(2))
    const held = system.look({ silentTogether: two(at(3)) }, at(5))
    expect(held).toMatchObject([{ raised: false, alarm: { value: 5, worseSinceMs: at(5) } }])
    expect(held[0]!.alarm.text).toMatch(
      /^5 devices \(on Cone 1\) fell silent, the last 3 of them at the same moment, 2 min ago:/,
    )
    const again = new System()
    again.memory = decodeSystem(encodeSystem(system.memory))
    expect(again.memory).toEqual(system.memory)
    expect(system.look({ silentTogether: two(at(3)) }, at(11))).toEqual([])
    const called = system.look({ silentTogether: two(at(3)) }, at(12))
    expect(called).toMatchObject([{ raised: true, alarm: { announcedAtMs: at(12), worseSinceMs: null } }])
    expect(called[0]!.alarm.text).toContain('the last 3 of them at the same moment, 9 min ago')
    // The words of a call are no words that followed.
    expect(system.look({ silentTogether: two(at(3)) }, at(13))).toEqual([])
    // Whoever has answered the first is called at once.
    const answered = new System()
    answered.look({ silentTogether: one }, at(2))
    answered.act('power-lost', { kind: 'acknowledge', by: 'Ann' }, at(3))
    expect(answered.look({ silentTogether: two(at(3)) }, at(5))).toMatchObject([{ raised: true }])
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
