import { describe, expect, it } from 'vitest'
import { deviceCondition } from '../../../dashboard/words/device.ts'
import { device, iso, NOW_MS, settings } from '../room.ts'

const rules = settings()
const limitMs = rules.rules['device-silent'].limit * 1000
const say = (online: boolean, agoMs: number | null, vesselId?: string) => {
  const lastHeardAt = agoMs === null ? null : iso(NOW_MS - agoMs)
  const given = device([vesselId === undefined ? ['water', 'Cel'] : ['water', 'Cel', vesselId]])
  return deviceCondition({ ...given, online, lastHeardAt }, rules, NOW_MS)
}

describe('a device', () => {
  it('that connects only to send is nothing to worry about while it is heard', () => {
    expect(say(false, 13_000, 'v1')).toEqual({
      state: 'visiting',
      words: 'Connects only to send, heard 13 s ago',
    })
    expect(say(false, limitMs, 'v1').state).toBe('visiting')
  })
  it('is lost when a vessel waits for it beyond the limit, connected or not', () => {
    expect(say(false, limitMs + 1, 'v1').state).toBe('lost')
    expect(say(true, limitMs + 1, 'v1')).toMatchObject({
      state: 'lost',
      words: expect.stringMatching(/silent/),
    })
  })
  it('is only away when nothing waits for it', () => {
    expect(say(false, limitMs + 1).state).toBe('away')
    expect(say(false, null)).toEqual({ state: 'away', words: 'Off line, never heard' })
  })
  it('is on line while it is connected', () => expect(say(true, 2_000, 'v1').state).toBe('connected'))
})
