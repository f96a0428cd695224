import { describe, expect, it } from 'vitest'
import { isDeviceName, parseTopic, TopicKind, topicOf } from '../../firmware-protocol/topics.ts'

describe('topics', () => {
  it('are read back as they were made', () => {
    for (const kind of Object.values(TopicKind)) {
      expect(parseTopic(topicOf('bench-1', kind))).toEqual({ device: 'bench-1', kind })
    }
    expect(topicOf('bench-1', 'measurements')).toBe('brinewatch/v1/bench-1/measurements')
  })

  it.each([
    '',
    'brinewatch/v1',
    'brinewatch/v1/bench-1',
    'brinewatch/v1/bench-1/',
    'brinewatch/v1//state',
    'brinewatch/v1/bench-1/state/',
    'brinewatch/v1/bench-1/other',
    'brinewatch/v1/bench-1/toString',
    'brinewatch/v2/bench-1/state',
    'x/brinewatch/v1/bench-1/state',
    'brinewatch/v1/-bench/state',
    'brinewatch/v1/be nch/state',
    'brinewatch/v1/+/state',
    '$SYS/brinewatch/v1/bench-1/state',
  ])('"%s" is none of ours', topic => {
    expect(parseTopic(topic)).toBeUndefined()
  })

  it('names are 1 to 63 characters', () => {
    expect(isDeviceName('a')).toBe(true)
    expect(isDeviceName('a'.repeat(63))).toBe(true)
    for (const bad of ['', 'a'.repeat(64), '_a', 'a/b', 'a+', 'ä', 'a\n']) {
      expect(isDeviceName(bad)).toBe(false)
      expect(() => topicOf(bad, 'state')).toThrow(/Cannot name a topic/)
    }
  })
})
