import { describe, expect, it } from 'vitest'
import {
  groupText,
  namedRole,
  offersFor,
  type Role,
  unplacedGroups,
} from '../../../dashboard/words/channel.ts'
import { device } from '../room.ts'

const roles = (from: ReturnType<typeof device>) =>
  unplacedGroups(from).map(group => [
    group.prefix,
    group.channels.map(each => `${each.role}=${each.channel.name}`),
  ])

describe('channels of a new device', () => {
  it('are told by their names, also below a number', () => {
    expect(namedRole('water')).toBe('water')
    expect(namedRole('2/air')).toBe('air')
    expect(namedRole('battery')).toBeNull()
  })
  it('make one group for each vessel on the device', () => {
    const two = device([
      ['1/water', 'Cel'],
      ['1/air', 'l/min'],
      ['2/water', 'Cel'],
    ])
    expect(roles(two)).toEqual([
      ['1', ['water=1/water', 'air=1/air']],
      ['2', ['water=2/water']],
    ])
  })
  it('are told by their unit where no name does, whatever comes first', () => {
    expect(
      roles(
        device([
          ['probe', 'Cel'],
          ['water', 'Cel'],
          ['lamp', 'lx'],
        ]),
      ),
    ).toEqual([['', ['water=water', 'light=lamp']]])
    expect(roles(device([['probe', 'Cel']]))).toEqual([['', ['water=probe']]])
  })
  it('are not offered again once one of them has a vessel', () => {
    expect(
      roles(
        device([
          ['water', 'Cel', 'v1'],
          ['air', 'l/min'],
        ]),
      ),
    ).toEqual([])
  })
  it('are named in one short line', () => {
    const [group] = unplacedGroups(
      device([
        ['water', 'Cel'],
        ['air', 'l/min'],
      ]),
    )
    expect(group && groupText(group, 'C')).toBe('water 24.9 °C, air 24.90 l/min')
    expect(group && groupText(group, 'F')).toBe('water 76.8 °F, air 24.90 l/min')
  })
})

describe('what is offered for a part of a vessel', () => {
  const offers = (name: string, ...channels: [string, string, string?][]) =>
    device(channels).channels.map(channel => ({ ref: `${name}/${channel.name}`, device: name, channel }))
  const all = [
    ...offers('b', ['water', 'Cel'], ['relay', '/'], ['lamp', 'lx']),
    ...offers('far', ['water', 'Cel', 'v2'], ['air', 'l/min', 'v2']),
    ...offers('a', ['2/water', 'Cel'], ['1/air', 'l/min', 'v1'], ['1/water', 'Cel', 'v1'], ['room', 'Cel']),
  ]
  const offered = (role: Role) => {
    const { own, elsewhere, other } = offersFor(all, role, 'v1')
    const refs = (some: readonly { ref: string }[]) => some.map(({ ref }) => ref)
    return [refs(own), [...elsewhere].map(([id, some]) => [id, refs(some)]), refs(other)]
  }
  it('measures what it needs: its own first, then what is on no vessel, other vessels apart', () => {
    expect(offered('water')).toEqual([
      ['a/1/water', 'a/2/water', 'a/room', 'b/water'],
      [['v2', ['far/water']]],
      ['b/relay'],
    ])
    expect(offered('air')).toEqual([['a/1/air'], [['v2', ['far/air']]], ['b/relay']])
    expect(offered('light')).toEqual([['b/lamp'], [], ['b/relay']])
    expect(offered('level')).toEqual([[], [], ['b/relay']])
  })
})
