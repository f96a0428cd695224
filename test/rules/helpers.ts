import type { Stage } from '../../broker/hatch/contract.ts'
import type { Quality } from '../../broker/intake/reading.ts'
import type { RuleName } from '../../broker/rules/alarm.ts'
import type { RulesSettings, Transition, VesselEvent, VesselFacts } from '../../broker/rules/contract.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import { judge } from '../../broker/rules/judge.ts'
import type { VesselMemory } from '../../broker/rules/memory.ts'
import { emptyMemory } from '../../broker/rules/memory.ts'

export const T0 = 1_764_000_000_000
export const SECOND = 1000
export const MINUTE = 60_000
export const HOUR = 3_600_000

export const batchFacts = (stage: Stage = 'incubating', startedAtMs = T0): VesselFacts => ({
  vesselId: 'v1',
  name: 'Cone 1',
  litres: 2,
  batch: { startedAtMs, stage },
  assigned: { water: true, air: true, light: true },
})
export const emptyVessel: VesselFacts = { ...batchFacts(), batch: null }

const reading =
  (role: 'water' | 'air' | 'light') =>
  (atMs: number, value: number | null, quality: Quality = 'good'): VesselEvent => ({
    kind: 'reading',
    role,
    value,
    quality,
    atMs,
  })
export const water = reading('water')
export const air = reading('air')
export const light = reading('light')
export const tick = (atMs: number): VesselEvent => ({ kind: 'tick', atMs })
export const heard = (atMs: number): VesselEvent => ({ kind: 'heard', atMs })

/** A device that is heard and brings all its channels. */
export const whole = (atMs: number): VesselEvent[] => [
  heard(atMs),
  water(atMs, 27),
  air(atMs, 1),
  light(atMs, 3000),
]
/** A vessel's facts with these channels assigned and no others. */
export const withOnly = (facts: VesselFacts, ...roles: ('water' | 'air' | 'light')[]): VesselFacts => ({
  ...facts,
  assigned: { water: roles.includes('water'), air: roles.includes('air'), light: roles.includes('light') },
})

/** A vessel being judged: keeps the memory and everything that was said. */
export class Watch {
  memory: VesselMemory = emptyMemory('v1')
  facts: VesselFacts
  settings: RulesSettings
  readonly said: Transition[] = []
  #ids = 0

  constructor(facts: VesselFacts = batchFacts(), settings: RulesSettings = defaultRules) {
    this.facts = facts
    this.settings = settings
  }

  /** What these events brought about. */
  tell(...events: VesselEvent[]): readonly Transition[] {
    const before = this.said.length
    for (const event of events) {
      const judged = judge(this.memory, this.facts, event, this.settings, () => `a${this.#ids++}`)
      this.memory = judged.memory
      this.said.push(...judged.transitions)
    }
    return this.said.slice(before)
  }

  /** The alarm of a rule that stands. */
  alarm(rule: RuleName) {
    return this.memory.rules[rule].alarm
  }

  raisedBy(rule: RuleName): number {
    return this.said.filter(({ alarm, raised }) => raised && alarm.rule === rule).length
  }
}

/** Settings with one rule changed, the others as they start. */
export const withRule = (rule: RuleName, change: Partial<RulesSettings[RuleName]>): RulesSettings => ({
  ...defaultRules,
  [rule]: { ...defaultRules[rule], ...change },
})

/** Transitions without their ids, which count up in the order of making. */
export const plain = (said: readonly Transition[]) =>
  said.map(({ alarm, raised }) => ({ raised, ...alarm, id: undefined }))
