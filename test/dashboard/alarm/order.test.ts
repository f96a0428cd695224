import { describe, expect, it } from 'vitest'
import {
  atRest,
  foremost,
  inOrder,
  inSight,
  isCalm,
  isUnseen,
  kindOf,
  mustSound,
  needsPerson,
  shelfOrder,
  whileWalking,
  wholeAlarm,
} from '../../../dashboard/alarm/order.ts'
import { PATTERNS } from '../../../dashboard/alarm/tones.ts'
import { alarm, iso, NOW_MS } from '../room.ts'

const low = alarm({ id: 'low', vesselId: 'v3', priority: 'low' })
const high = alarm({ id: 'high', vesselId: 'v2', priority: 'high' })
const older = alarm({ id: 'older', vesselId: 'v2', priority: 'critical', raisedAt: iso(NOW_MS - 3_600_000) })
const newer = alarm({ id: 'newer', vesselId: 'v1', priority: 'critical', raisedAt: iso(NOW_MS) })
const seen = alarm({
  id: 'seen',
  vesselId: 'v4',
  state: 'acknowledged',
  acknowledgedAt: iso(NOW_MS),
  priority: 'critical',
})

describe('the order of alarms', () => {
  it('is: those that need a person, then priority, then age', () => {
    expect(inOrder([seen, low, newer, high, older]).map(each => each.id)).toEqual([
      'older',
      'newer',
      'high',
      'low',
      'seen',
    ])
  })
  it('puts what takes the air of several vessels before what is as loud and wrong with one', () => {
    const power = alarm({ id: 'power', vesselId: null, rule: 'power-lost', priority: 'critical', takes: 12 })
    const quiet = { ...power, id: 'quiet', priority: 'high' } as const
    const pump = { ...newer, id: 'pump', takes: 2 }
    expect(inOrder([older, quiet, newer, pump, power]).map(each => each.id)).toEqual([
      'power',
      'pump',
      'older',
      'newer',
      'quiet',
    ])
  })
  it('looks as loud in the bar as it is, folded or not', () => {
    expect([older, seen, alarm({ state: 'return-to-normal-unacknowledged' })].map(kindOf)).toEqual([
      'critical needs',
      'critical seen',
      expect.stringMatching(/ over$/),
    ])
  })
  it('puts what is so before what is over, however loud that was, and that before what was seen', () => {
    const over = alarm({ id: 'over', priority: 'critical', state: 'return-to-normal-unacknowledged' })
    const kept = alarm({ id: 'kept', priority: 'critical', state: 'latched' })
    expect(inOrder([seen, over, low, kept]).map(each => each.id)).toEqual(['kept', 'low', 'over', 'seen'])
  })
  it('has two lines in sight beside the one that is whole, folds the rest, and never one alone', () => {
    const others = [older, newer, high, low]
    const ids = (those: readonly { id: string }[]) => those.map(({ id }) => id)
    const say = (...of: Parameters<typeof inSight>) => {
      const { lines, folded } = inSight(...of)
      return [ids(lines), ids(folded)]
    }
    expect(say(others.slice(0, 2), true, false)).toEqual([['older', 'newer'], []])
    expect(say(others.slice(0, 3), true, false)).toEqual([['older'], ['newer', 'high']])
    expect(say(others.slice(0, 3), false, false)).toEqual([['older', 'newer', 'high'], []])
    expect(say(others, false, false)).toEqual([
      ['older', 'newer'],
      ['high', 'low'],
    ])
    expect(say(others, true, true)).toEqual([ids(others), []])
  })
  it('has one line on a low screen, whatever stands there: the rest behind it', () => {
    const low = (of: readonly (typeof older)[], unfolded = false) => {
      const { whole, lines, folded } = atRest(inOrder(of), null, unfolded, true)
      return [whole?.id ?? null, lines.map(({ id }) => id), folded.map(({ id }) => id)]
    }
    const others = [older, newer, high, seen].map(each => ({ ...each, state: 'acknowledged' as const }))
    expect(low([older, newer])).toEqual(['older', ['newer'], []])
    expect(low([older, newer, high, seen])).toEqual(['older', [], ['newer', 'high', 'seen']])
    expect(low(others)).toEqual([null, [], ['older', 'seen', 'newer', 'high']])
    expect(low([older, newer, high], true)).toEqual(['older', ['newer', 'high'], []])
  })
  it('folds all to one line while somebody walks through work, but nothing that is critical', () => {
    const say = (of: readonly (typeof low)[], unfolded = false) => {
      const { whole, lines, folded } = whileWalking(inOrder(of), null, unfolded)
      return [whole?.id ?? null, lines.map(({ id }) => id), folded.map(({ id }) => id)]
    }
    expect(say([low, high])).toEqual([null, [], ['high', 'low']])
    expect(say([low, high, older, newer, seen])).toEqual([null, ['older', 'newer', 'seen'], ['high', 'low']])
    expect(say([low, seen])).toEqual([null, ['seen'], ['low']])
    expect(say([low, high], true)).toEqual([null, ['high', 'low'], []])
  })
  it('puts a vessel that is about to have an alarm behind those that have one, before the rest', () => {
    const shelf = ['v9', 'v8', 'v1'].map(id => ({ id }))
    expect(shelfOrder(shelf, [newer], ({ id }) => id === 'v8').map(each => each.id)).toEqual([
      'v1',
      'v8',
      'v9',
    ])
  })
  it('puts the vessels that call first, and leaves the others as they stand', () => {
    const shelf = ['v9', 'v3', 'v8', 'v1', 'v2'].map(id => ({ id }))
    expect(shelfOrder(shelf, [low, newer, high, older]).map(each => each.id)).toEqual([
      'v2',
      'v1',
      'v3',
      'v9',
      'v8',
    ])
    expect(foremost([high, older]).get('v2')?.id).toBe('older')
  })
})

describe('the alarm that is shown whole', () => {
  it('is the foremost that needs a person, until another is chosen, and again when that one is gone', () => {
    const standing = inOrder([low, seen, high])
    expect(wholeAlarm(standing, null)?.id).toBe('high')
    expect(wholeAlarm(standing, 'low')?.id).toBe('low')
    expect(wholeAlarm(standing, 'seen')?.id).toBe('seen')
    expect(wholeAlarm(standing, 'gone')?.id).toBe('high')
  })
  it('is none once all were seen', () => {
    expect(wholeAlarm([seen], null)).toBeNull()
    expect(wholeAlarm([], 'gone')).toBeNull()
  })
})

describe('what is heard', () => {
  it('is what stands and nobody has seen', () => {
    expect(mustSound(newer)).toBe(true)
    expect(mustSound(seen)).toBe(false)
  })
  it('is not what went away by itself, which still waits to be seen', () => {
    const over = alarm({ state: 'return-to-normal-unacknowledged' })
    expect(needsPerson(over)).toBe(true)
    expect(mustSound(over)).toBe(false)
  })
  it('is what latched until it is reset, seen or not: quieter once it was seen, and before what only stands there', () => {
    const kept = alarm({ id: 'kept', state: 'latched-acknowledged', acknowledgedAt: iso(NOW_MS) })
    expect(needsPerson(kept)).toBe(true)
    expect(isUnseen(kept)).toBe(false)
    expect(isCalm(kept)).toBe(true)
    expect(mustSound(kept)).toBe(false)
    expect(wholeAlarm([seen, kept], null)).toBe(kept)
    expect(inOrder([seen, kept, low]).map(({ id }) => id)).toEqual(['low', 'kept', 'seen'])
  })
  it('is not what is shelved', () => expect(needsPerson(alarm({ state: 'shelved' }))).toBe(false))
  it('has a rhythm of its own for each priority, that ends before it begins again', () => {
    const rhythms = Object.values(PATTERNS).map(({ tones }) => tones.map(tone => tone.hz).join(' '))
    expect(new Set(rhythms).size).toBe(3)
    for (const { tones, everyS } of Object.values(PATTERNS))
      for (const { atS, lengthS } of tones) expect(atS + lengthS).toBeLessThan(everyS)
  })
})
