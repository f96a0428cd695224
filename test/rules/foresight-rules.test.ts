import { describe, expect, it } from 'vitest'
import type { VesselFacts } from '../../broker/rules/contract.ts'
import { air, batchFacts, HOUR, light, MINUTE, SECOND, T0, tick, water, Watch, withRule } from './helpers.ts'

/** These are about what readings lead to, not about their failing to come. */
const SPOKEN = withRule('device-silent', { enabled: false })

const look = (atMs: number, minutes: number | null, p90 = Infinity) => ({
  atMs,
  at:
    minutes === null
      ? null
      : {
          p10: atMs + 0.7 * minutes * MINUTE,
          p50: atMs + minutes * MINUTE,
          p90: p90 === Infinity ? atMs + 2 * minutes * MINUTE : NaN,
        },
})
const heading = (newest: ReturnType<typeof look>, before: ReturnType<typeof look> | null) => ({
  heading: { limitC: 29.4, newest, before },
})

describe('water-heading-hot', () => {
  it('waits for a second look, and says when', () => {
    const watch = new Watch({ ...batchFacts(), ...heading(look(T0, 20), null) })
    expect(watch.tell(water(T0, 28))).toEqual([])
    watch.facts = { ...watch.facts, ...heading(look(T0 + 30 * SECOND, 20), look(T0, 20)) }
    const [raised] = watch.tell(water(T0 + 31 * SECOND, 28.1))
    expect(raised!.alarm).toMatchObject({ rule: 'water-heading-hot', value: 20, limit: 30 })
    expect(raised!.alarm.text).toContain('28.1 °C (82.6 °F)')
    expect(raised!.alarm.text).toContain('29.4 °C (84.9 °F) in about 20 min')
  })

  it('says nothing of a crossing that is far, that may never come, or that one look saw', () => {
    for (const looks of [
      heading(look(T0, 44), look(T0, 44)),
      // Of two looks one thinks that it may be soon.
      heading(look(T0, 40), look(T0, 44)),
      heading({ atMs: T0, at: { p10: T0, p50: T0 + MINUTE, p90: Infinity } }, look(T0, 20)),
      heading(look(T0, 20), look(T0, null)),
    ]) {
      const watch = new Watch({ ...batchFacts(), ...looks })
      expect(watch.tell(water(T0, 28), water(T0 + MINUTE, 28))).toEqual([])
    }
  })

  it('is raised when the water may cross within the limit, for the early end counts', () => {
    const watch = new Watch({ ...batchFacts(), ...heading(look(T0, 42), look(T0, 42)) })
    const [raised] = watch.tell(water(T0, 28))
    expect(raised!.alarm).toMatchObject({ rule: 'water-heading-hot', value: 42 })
    expect(raised!.alarm.text).toContain('in about 40 min')
  })

  it('stands while the water is past its limit, and works without a batch', () => {
    const facts: VesselFacts = { ...batchFacts(), batch: null, ...heading(look(T0, 9), look(T0, 10)) }
    const watch = new Watch(facts, SPOKEN)
    watch.tell(water(T0, 29))
    watch.facts = { ...facts, ...heading(look(T0 + MINUTE, null), look(T0 + MINUTE, null)) }
    watch.tell(water(T0 + MINUTE, 29.5), tick(T0 + HOUR), water(T0 + HOUR, 30))
    expect(watch.alarm('water-heading-hot')?.clearedAtMs).toBeNull()
    watch.tell(water(T0 + HOUR + MINUTE, 28), tick(T0 + 2 * HOUR), water(T0 + 2 * HOUR, 28))
    expect(watch.alarm('water-heading-hot')?.clearedAtMs).not.toBeNull()
  })
})

describe('water that cools slowly from above its limit', () => {
  const over = (coolC: number | undefined) => {
    const looks = (atMs: number) => ({
      heading: { limitC: 29.4, ...(coolC && { coolC }), newest: look(atMs, null), before: look(atMs, null) },
    })
    const watch = new Watch({ ...batchFacts(), ...heading(look(T0, 9), look(T0, 10)) }, SPOKEN)
    watch.tell(water(T0, 29))
    watch.facts = { ...watch.facts, ...looks(T0 + MINUTE) }
    watch.tell(water(T0 + MINUTE, 29.5))
    // Below the limit, but not so far that water-too-hot is over.
    for (let minute = 2; minute < 20; minute++)
      watch.tell(tick(T0 + minute * MINUTE), water(T0 + minute * MINUTE, 29.25))
    return watch
  }

  it('is not over before water-too-hot is, so that nobody is called once more while it cools', () => {
    expect(over(29.1).alarm('water-heading-hot')?.clearedAtMs).toBeNull()
    expect(over(undefined).alarm('water-heading-hot')?.clearedAtMs).not.toBeNull()
    const cooled = over(29.1)
    for (let minute = 20; minute < 30; minute++)
      cooled.tell(tick(T0 + minute * MINUTE), water(T0 + minute * MINUTE, 29))
    expect(cooled.alarm('water-heading-hot')?.clearedAtMs).not.toBeNull()
  })
})

describe('what water-heading-hot says once the water is there', () => {
  const standing = () => {
    const watch = new Watch({ ...batchFacts(), ...heading(look(T0, 9), look(T0, 10)) }, SPOKEN)
    watch.tell(water(T0, 29))
    return watch
  }
  const lift = (watch: Watch, atMs: number, isHot: boolean) => {
    const { id = '', priority, action = '', text = '' } = watch.alarm('water-too-hot') ?? {}
    const told = isHot ? { by: id, priority: priority!, action, text } : null
    return watch.tell({ kind: 'lift', rule: 'water-heading-hot', lift: told, isNew: false, atMs })
  }

  it('is that it is there, without another call, and again that it is not', () => {
    const watch = standing()
    watch.tell(water(T0 + 10 * MINUTE, 30.1))
    const [there] = lift(watch, T0 + 10 * MINUTE, true)
    expect(there).toMatchObject({ raised: false, alarm: { value: 0, priority: 'critical' } })
    expect(there!.alarm.text).toContain(
      'is 30.1 °C (86.2 °F), at or above its alarm limit of 29.4 °C (84.9 °F)',
    )
    expect(there!.alarm.text).not.toContain('crosses')
    expect(there!.alarm.action).toContain('Switch the lamp off')

    watch.facts = { ...watch.facts, ...heading(look(T0 + 20 * MINUTE, null), look(T0 + 20 * MINUTE, null)) }
    watch.tell(water(T0 + 20 * MINUTE, 28.9))
    const [back] = lift(watch, T0 + 20 * MINUTE, false)
    expect(back).toMatchObject({ raised: false, alarm: { value: null } })
    expect(back!.alarm.text).toContain('is 28.9 °C')
    expect(back!.alarm.text).not.toMatch(/crosses|warming|soon/)
  })

  it('is so in a call that is made again', () => {
    const watch = standing()
    watch.tell({ kind: 'acknowledge', rule: 'water-heading-hot', by: 'a', atMs: T0 + MINUTE })
    watch.tell(water(T0 + 20 * MINUTE, 31))
    const again = watch.tell(tick(T0 + 40 * MINUTE)).filter(({ alarm }) => alarm.rule === 'water-heading-hot')
    expect(again.map(({ raised }) => raised)).toEqual([true])
    expect(again[0]!.alarm.text).toContain('is 31.0 °C')
    expect(again[0]!.alarm.text).not.toContain('crosses')
  })

  it('is at least a minute away while it is not', () => {
    const watch = new Watch({ ...batchFacts(), ...heading(look(T0, 0.2), look(T0, 0.3)) }, SPOKEN)
    expect(watch.tell(water(T0, 29.3))[0]!.alarm.value).toBe(1)
  })
})

describe('water-too-cool', () => {
  const cool = (coolCostMs: number, expectedC = 22): VesselFacts => {
    const facts = batchFacts()
    return { ...facts, batch: { ...facts.batch!, coolCostMs, expectedC } }
  }
  const told = (facts: VesselFacts) =>
    new Watch(facts, SPOKEN).tell(water(T0, 23), tick(T0 + 20 * MINUTE), water(T0 + 21 * MINUTE, 23))

  it('says what it costs, and nothing below what is worth a call', () => {
    expect(told(cool(HOUR - 1))).toEqual([])
    expect(told(cool(3 * HOUR))[0]!.alarm.text).toContain('about 3 h later')
  })
  it('says nothing of water that is on its way back', () => {
    expect(told(cool(3 * HOUR, 26))).toEqual([])
  })
})

describe('air-fading', () => {
  const fading = (
    now: number,
    fallPerH: number,
    stage: 'incubating' | 'hatching' = 'incubating',
  ): VesselFacts => ({
    ...batchFacts(stage),
    air: { now, settled: 0.5, fallingMs: 3 * HOUR, fallPerH },
  })
  const told = (facts: VesselFacts) => new Watch(facts, SPOKEN).tell(air(T0, 0.8), tick(T0 + 2 * MINUTE))

  it('calls below the limit while it falls, in litres for this vessel', () => {
    const [raised] = told(fading(0.39, 0.05))
    expect(raised!.alarm).toMatchObject({ rule: 'air-fading', priority: 'low', value: 78 })
    expect(raised!.alarm.text).toContain('from 1 l/min to 0.78 l/min in 3 h')
    expect(raised!.alarm.text).toContain('gone in about 7.5 h')
  })
  it('calls louder the less is left', () => {
    expect(told(fading(0.3, 0.1))[0]!.alarm.priority).toBe('high')
    expect(told(fading(0.1, 0.2, 'hatching'))[0]!.alarm.priority).toBe('critical')
  })
  it('says nothing of air that stands, however low, nor of a little less', () => {
    expect(told(fading(0.3, 0))).toEqual([])
    expect(told(fading(0.42, 0.05))).toEqual([])
  })
})

describe('light-out, later', () => {
  const late = batchFacts('incubating', T0 - 8 * HOUR)
  it('matters where the water followed it', () => {
    const heater = new Watch({ ...late, dark: { sinceMs: T0 - 10 * MINUTE, fellC: 0.7 } }, SPOKEN)
    const [raised] = heater.tell(light(T0, 5), tick(T0 + 6 * MINUTE))
    expect(raised!.alarm.text).toContain(
      'its lamp is its heater: the water has cooled by 0.7 °C (1.3 °F) since',
    )
    const other = new Watch({ ...late, dark: { sinceMs: T0 - 10 * MINUTE, fellC: 0.2 } }, SPOKEN)
    expect(other.tell(light(T0, 5), tick(T0 + HOUR))).toEqual([])
  })
})

describe('probe-out-of-water', () => {
  it('has words of its own, during a batch only, and is no fault', () => {
    const watch = new Watch(batchFacts(), SPOKEN)
    const [raised] = watch.tell(water(T0, 22, 'out-of-water'), tick(T0 + 5 * MINUTE))
    expect(raised!.alarm).toMatchObject({ rule: 'probe-out-of-water', priority: 'high' })
    expect(watch.raisedBy('probe-fault')).toBe(0)
    const empty = new Watch({ ...batchFacts(), batch: null })
    expect(empty.tell(water(T0, 22, 'out-of-water'), tick(T0 + HOUR))).toEqual([])
  })
})

describe('harvest-missed', () => {
  it('calls half an hour past the window', () => {
    const past = (pastHarvestMs: number): VesselFacts => {
      const facts = batchFacts('overdue')
      return { ...facts, batch: { ...facts.batch!, pastHarvestMs } }
    }
    const watch = new Watch(past(29 * MINUTE))
    expect(watch.tell(water(T0, 27))).toEqual([])
    watch.facts = past(30 * MINUTE)
    const [raised] = watch.tell(water(T0 + MINUTE, 27))
    expect(raised!.alarm).toMatchObject({ rule: 'harvest-missed', reason: 'past-harvest', value: 30 })
  })
})
