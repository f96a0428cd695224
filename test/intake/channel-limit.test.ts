import { describe, expect, it } from 'vitest'
import { ChannelLimit } from '../../broker/intake/channel-limit.ts'
import { CHANNELS_PER_DEVICE, Quality, Quantity, type Reading } from '../../broker/intake/reading.ts'

const reading = (channel: string, unit = ''): Reading => ({
  channel,
  unit,
  quantity: Quantity.other,
  value: 1,
  quality: Quality.good,
  atMs: 0,
})
const readingsOf = (from: number, to: number) =>
  Array.from({ length: to - from }, (_, i) => reading(`c${from + i}`))

describe('the limit of channels a device', () => {
  it('lets all stay up to the limit, giving back the very same object', () => {
    const limit = new ChannelLimit(() => [])
    const read = { readings: readingsOf(0, CHANNELS_PER_DEVICE), setAside: [] }
    expect(limit.hold('a', read)).toBe(read)
    expect(limit.hold('a', read)).toBe(read)
  })

  it('sets aside what comes on further channels, each named once, and keeps the rest', () => {
    const limit = new ChannelLimit(() => [])
    limit.hold('a', { readings: readingsOf(0, CHANNELS_PER_DEVICE), setAside: [] })
    const held = limit.hold('a', {
      readings: [reading('c0'), reading('late'), reading('late'), reading('c1')],
      setAside: [],
    })
    expect(held.readings.map(({ channel }) => channel)).toEqual(['c0', 'c1'])
    expect(held.setAside).toHaveLength(1)
    expect(held.setAside[0]).toMatchObject({
      reason: 'bad-record',
      detail: expect.stringContaining('"late"'),
    })
  })

  it('counts what is on disk from before, and a name with another unit as another channel', () => {
    const onDisk = readingsOf(0, CHANNELS_PER_DEVICE - 1).map(({ channel }) => ({ name: channel, unit: '' }))
    const limit = new ChannelLimit(() => onDisk)
    const held = limit.hold('a', {
      readings: [reading('c0'), reading('c0', 'V'), reading('c1', 'V')],
      setAside: [],
    })
    expect(held.readings).toEqual([reading('c0'), reading('c0', 'V')])
    expect(limit.hold('b', { readings: [reading('x')], setAside: [] }).setAside).toEqual([])
  })
})
