import { describe, expect, it } from 'vitest'
import fc from 'fast-check'
import { covers, isReserved, isTopicFilter, isTopicName, matches } from '../../broker/intake/topic-filter.ts'

// MQTT Version 3.1.1, OASIS Standard, 29 October 2014, section 4.7: its own examples.
describe('a topic filter', () => {
  it.each([
    // 4.7.1.2
    ['sport/tennis/player1/#', 'sport/tennis/player1', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/ranking', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/score/wimbledon', true],
    ['sport/#', 'sport', true],
    ['#', 'sport/tennis', true],
    // 4.7.1.3
    ['sport/tennis/+', 'sport/tennis/player1', true],
    ['sport/tennis/+', 'sport/tennis/player2', true],
    ['sport/tennis/+', 'sport/tennis/player1/ranking', false],
    ['sport/+', 'sport', false],
    ['sport/+', 'sport/', true],
    ['+/+', '/finance', true],
    ['/+', '/finance', true],
    ['+', '/finance', false],
    // 4.7.2
    ['#', '$SYS/broker/load', false],
    ['+/monitor/Clients', '$SYS/monitor/Clients', false],
    ['$SYS/#', '$SYS/monitor/Clients', true],
    ['$SYS/monitor/+', '$SYS/monitor/Clients', true],
    // 4.7.3: case, spaces and a leading slash tell topics apart.
    ['ACCOUNTS', 'Accounts', false],
    ['/finance', 'finance', false],
    ['Accounts payable', 'Accounts payable', true],
  ])('%s: %s is %s', (filter, topic, is) => {
    expect(matches(filter, topic)).toBe(is)
  })

  it.each([
    ['#', true],
    ['sport/tennis/#', true],
    ['sport/tennis#', false],
    ['sport/tennis/#/ranking', false],
    ['+', true],
    ['+/tennis/#', true],
    ['sport+', false],
    ['sport/+/player1', true],
    ['', false],
    ['a\0b', false],
  ])('%s is one: %s', (filter, is) => {
    expect(isTopicFilter(filter)).toBe(is)
  })

  it('is no name with a wildcard, and no topic is ours or a broker’s own', () => {
    for (const name of ['a/+', '#', '', 'a\0', 'x'.repeat(257)]) expect(isTopicName(name)).toBe(false)
    expect(isTopicName('/')).toBe(true)
    for (const own of ['brinewatch/v1/a/state', 'brinewatch', '$SYS/x']) expect(isReserved(own)).toBe(true)
    expect(isReserved('brinewatcher/x')).toBe(false)
  })

  it('covers another only if it has all of its topics', () => {
    const level = fc.constantFrom('a', 'b', '', '$a')
    const filter = fc
      .tuple(fc.array(fc.oneof(level, fc.constant('+')), { minLength: 1, maxLength: 3 }), fc.boolean())
      .map(([levels, all]) => (all ? [...levels, '#'] : levels).join('/'))
      .filter(isTopicFilter)
    const topic = fc.array(level, { minLength: 1, maxLength: 4 }).map(levels => levels.join('/'))
    fc.assert(
      fc.property(filter, filter, topic, (allowed, asked, name) => {
        if (name === '' || !covers(allowed, asked) || !matches(asked, name)) return true
        return matches(allowed, name)
      }),
      { numRuns: 2000 },
    )
    expect(covers('home/+/t', 'home/#')).toBe(false)
    expect(covers('home/#', 'home/+/t')).toBe(true)
    expect(covers('home/+', 'home/+')).toBe(true)
    expect(covers('#', '$SYS/#')).toBe(false)
  })
})
