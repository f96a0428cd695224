import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { ConditionTimer, Delays } from '../../broker/rules/condition-timer.ts'
import {
  dueAt,
  elapse,
  IDLE_TIMER,
  see,
  Sight,
  sightAtOrAbove,
  sightBelow,
  UNKNOWN_BRIDGED_MS,
} from '../../broker/rules/condition-timer.ts'

const delays: Delays = { onDelayMs: 15_000, offDelayMs: 60_000 }
const ACTIVE: ConditionTimer = { ...IDLE_TIMER, active: true }

describe('a delay', () => {
  it('ends at its due time exactly, however late one asks', () => {
    const timer = see(IDLE_TIMER, Sight.beyond, 1000)
    expect(dueAt(timer, delays)).toBe(16_000)
    expect(elapse(timer, 15_999, delays)).toBe(timer)
    expect(elapse(timer, 16_000, delays).active).toBe(true)
    expect(elapse(timer, 1e9, delays).active).toBe(true)
  })

  it('starts anew after a break', () => {
    const broken = see(see(IDLE_TIMER, Sight.beyond, 0), Sight.inside, 14_000)
    expect(broken).toEqual(IDLE_TIMER)
    expect(dueAt(see(broken, Sight.beyond, 20_000), delays)).toBe(35_000)
  })

  it('is broken by the deadband both ways: only past the limit raises, only safely back clears', () => {
    expect(see(see(IDLE_TIMER, Sight.beyond, 0), Sight.between, 1).pendingSinceMs).toBeNull()
    expect(see(see(ACTIVE, Sight.inside, 0), Sight.between, 1).pendingSinceMs).toBeNull()
    expect(see(ACTIVE, Sight.between, 1)).toBe(ACTIVE)
    expect(see(IDLE_TIMER, Sight.between, 1)).toBe(IDLE_TIMER)
  })

  it('does not end while nothing can be told, and goes on after a short stretch of that', () => {
    const waiting = see(see(IDLE_TIMER, Sight.beyond, 0), Sight.unknown, 10_000)
    expect(elapse(waiting, 1e9, delays)).toBe(waiting)
    expect(see(waiting, Sight.unknown, 20_000)).toBe(waiting)
    const bridged = see(waiting, Sight.beyond, 10_000 + UNKNOWN_BRIDGED_MS)
    expect(dueAt(bridged, delays)).toBe(15_000)
    const anew = see(waiting, Sight.beyond, 10_001 + UNKNOWN_BRIDGED_MS)
    expect(dueAt(anew, delays)).toBe(25_001 + UNKNOWN_BRIDGED_MS)
  })

  it('never starts with nothing to tell', () => {
    expect(see(IDLE_TIMER, Sight.unknown, 1)).toBe(IDLE_TIMER)
    expect(see(ACTIVE, Sight.unknown, 1)).toBe(ACTIVE)
  })

  it('makes nothing new when nothing changes', () => {
    const pending = see(IDLE_TIMER, Sight.beyond, 0)
    expect(see(pending, Sight.beyond, 5)).toBe(pending)
    expect(see(IDLE_TIMER, Sight.inside, 5)).toBe(IDLE_TIMER)
    expect(see(ACTIVE, Sight.beyond, 5)).toBe(ACTIVE)
  })

  it('agrees with counting seconds one by one', () => {
    // Second by second: how long has the newest thing seen been the opposite of what holds?
    const bySeconds = (seen: readonly Sight[], { onDelayMs, offDelayMs }: Delays) => {
      let active = false
      let lasting = -1
      return seen.map(sight => {
        const opposite = active ? Sight.inside : Sight.beyond
        lasting = sight === opposite ? lasting + 1 : -1
        if (lasting >= 0 && lasting * 1000 >= (active ? offDelayMs : onDelayMs)) {
          active = !active
          lasting = -1
        }
        return active
      })
    }
    const delay = fc.integer({ min: 1, max: 8 }).map(s => s * 1000)
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom<Sight>('beyond', 'between', 'inside'), { maxLength: 120 }),
        fc.record({ onDelayMs: delay, offDelayMs: delay }),
        (seen, set) => {
          let timer = IDLE_TIMER
          const states = seen.map((sight, second) => {
            // A sight lasts until the next one; this one may end what was running only after it was itself looked at.
            const before = elapse(timer, second * 1000 - 1, set)
            timer = elapse(see(before, sight, second * 1000), second * 1000, set)
            return timer.active
          })
          expect(states).toEqual(bySeconds(seen, set))
        },
      ),
    )
  })
})

describe('what a value shows', () => {
  it.each([
    [29.41, 'beyond'],
    [29.4, 'beyond'],
    [29.1 + 0.3, 'beyond'],
    [29.39, 'between'],
    [29.2, 'between'],
    [29.1, 'inside'],
    [-5, 'inside'],
    [NaN, 'unknown'],
    [Infinity, 'unknown'],
    [null, 'unknown'],
  ])('%s against below 29.4, deadband 0.3: %s', (value, sight) => {
    expect(sightAtOrAbove(value, 29.4, 0.3)).toBe(sight)
  })

  it.each([
    [23.99, 'beyond'],
    [24, 'between'],
    [24.29, 'between'],
    [24.3, 'inside'],
    [NaN, 'unknown'],
    [-Infinity, 'unknown'],
    [null, 'unknown'],
  ])('%s against at least 24, deadband 0.3: %s', (value, sight) => {
    expect(sightBelow(value, 24, 0.3)).toBe(sight)
  })
})
