import { describe, expect, it } from 'vitest'
import type { LevelCourse, VesselEvent, VesselFacts } from '../../broker/rules/contract.ts'
import type { Stage } from '../../broker/hatch/contract.ts'
import { LevelWatch } from '../../broker/room/watch/level-watch.ts'
import { batchFacts, HOUR, MINUTE, SECOND, T0, tick, Watch } from './helpers.ts'

const level = (atMs: number, value: number): VesselEvent => ({
  kind: 'reading',
  role: 'level',
  value,
  quality: 'good',
  atMs,
})
const standing = (course: LevelCourse, stage: Stage = 'incubating'): VesselFacts => ({
  ...batchFacts(stage),
  level: course,
  assigned: { water: false, air: false, light: false, level: true },
})
const raised = (course: LevelCourse, stage: Stage = 'incubating') => {
  const watch = new Watch(standing(course, stage))
  watch.tell(level(T0, course.now), level(T0 + MINUTE, course.now))
  return watch.said.map(({ alarm }) => alarm)
}

describe('water-level', () => {
  it('is raised a minute below its share of where the water stood, and says when it is empty', () => {
    const [alarm] = raised({ now: 0.7, stood: 0.95, fallPerH: 0.35 })
    expect(alarm).toMatchObject({
      rule: 'water-level',
      priority: 'high',
      raisedAtMs: T0 + MINUTE,
      value: 74,
      limit: 80,
    })
    expect(alarm!.text).toContain('has fallen to 74 % of where it stood')
    expect(alarm!.text).toContain('empty in about 2 h')
    expect(alarm!.action).toMatch(/^[A-Z][^.!?]{14,59}\.$/)
    expect(alarm!.text).toContain('mains')
    expect(alarm!.text.length).toBeLessThan(420)
  })

  it('is critical where nauplii run out with it within the hour', () => {
    expect(raised({ now: 0.7, stood: 1, fallPerH: 0.8 }, 'harvest')[0]!.priority).toBe('critical')
    expect(raised({ now: 0.7, stood: 1, fallPerH: 0.5 }, 'harvest')[0]!.priority).toBe('high')
    expect(raised({ now: 0.7, stood: 1, fallPerH: 0.8 })[0]!.priority).toBe('high')
  })

  it('says nothing of evaporation, of a sensor that hangs dry, or of a vessel without a batch', () => {
    expect(raised({ now: 0.8, stood: 1, fallPerH: 0 })).toEqual([])
    expect(raised({ now: 0, stood: 0, fallPerH: 0 })).toEqual([])
    const watch = new Watch({ ...standing({ now: 0.1, stood: 1, fallPerH: 0 }), batch: null })
    watch.tell(level(T0, 0.1), tick(T0 + HOUR))
    expect(watch.raisedBy('water-level')).toBe(0)
  })

  it('clears when the vessel is topped up', () => {
    const watch = new Watch(standing({ now: 0.7, stood: 1, fallPerH: 0 }))
    watch.tell(level(T0, 0.7), level(T0 + MINUTE, 0.7))
    watch.facts = standing({ now: 0.95, stood: 1, fallPerH: 0 })
    watch.tell(level(T0 + HOUR, 0.95), level(T0 + HOUR + 2 * MINUTE, 0.95))
    expect(watch.alarm('water-level')?.state).toBe('return-to-normal-unacknowledged')
  })

  it('is silent while water is drawn off, and judged anew after that', () => {
    const watch = new Watch(standing({ now: 0.4, stood: 1, fallPerH: 6 }))
    const untilMs = T0 + 20 * MINUTE
    watch.tell({ kind: 'hush', reason: 'harvest', untilMs, by: 'keeper', atMs: T0 })
    for (let at = 0; at < 25; at++) watch.tell(level(T0 + at * MINUTE, 0.4))
    const calls = watch.said.filter(({ raised }) => raised).map(({ alarm }) => alarm.announcedAtMs)
    expect(calls).toEqual([untilMs + MINUTE])
  })

  it('is told when its readings stop', () => {
    const watch = new Watch(standing({ now: 1, stood: 1, fallPerH: 0 }))
    watch.tell(level(T0, 1), { kind: 'heard', atMs: T0 })
    for (let at = 1; at <= 4; at++) watch.tell({ kind: 'heard', atMs: T0 + at * MINUTE })
    const [silent] = watch.said
    expect(silent!.alarm.text).toContain('No level reading has come')
    expect(silent!.alarm.text).toContain('whether it keeps its water is not known')
  })
})

describe('how high the water stands', () => {
  /** One reading every ten seconds. */
  const follow = (watch: LevelWatch, fromMs: number, minutes: number, at: (minute: number) => number) => {
    for (let s = 0; s < minutes * 60; s += 10) watch.take(fromMs + s * SECOND, at(s / 60))
  }

  it('is the highest that it stood at, and no wave', () => {
    const watch = new LevelWatch()
    follow(watch, T0, 30, minute => (minute === 10 ? 1.6 : 0.95 + 0.01 * ((minute * 6) % 2)))
    expect(watch.course).toMatchObject({ fallPerH: 0 })
    expect(watch.course!.stood).toBeGreaterThan(0.94)
    expect(watch.course!.stood).toBeLessThan(0.97)
  })

  it('rises when it is filled, and falls at the pace of the last minutes', () => {
    const watch = new LevelWatch()
    follow(watch, T0, 10, () => 0.5)
    follow(watch, T0 + 10 * MINUTE, 10, () => 0.9)
    // A third an hour.
    follow(watch, T0 + 20 * MINUTE, 30, minute => 0.9 - minute / 180)
    const { now, stood, fallPerH } = watch.course!
    expect(stood).toBeCloseTo(0.9, 2)
    expect(now).toBeCloseTo(0.9 - 30 / 180, 1)
    expect(fallPerH).toBeGreaterThan(0.28)
    expect(fallPerH).toBeLessThan(0.38)
  })

  it('is anew after water was drawn off on purpose, but knows what came after the batch began', () => {
    const watch = new LevelWatch()
    follow(watch, T0, 20, () => 1)
    watch.anew(T0)
    expect(watch.course?.stood).toBe(1)
    watch.anew(T0 + 20 * MINUTE)
    expect(watch.course).toBeNull()
    follow(watch, T0 + 20 * MINUTE, 10, () => 0.3)
    expect(watch.course).toMatchObject({ now: 0.3, stood: 0.3 })
  })

  it('tells nothing of what is late or from before', () => {
    const watch = new LevelWatch()
    watch.anew(T0)
    follow(watch, T0 - HOUR, 30, () => 1)
    expect(watch.course).toBeNull()
    follow(watch, T0, 10, () => 0.5)
    watch.take(T0, 9)
    expect(watch.course).toMatchObject({ stood: 0.5 })
  })
})
