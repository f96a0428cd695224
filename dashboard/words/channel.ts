import type { Device } from '../../broker/web/api/schemas.ts'
import { airText, lightText } from './amounts.ts'
import { faultWord } from './condition.ts'
import { temperatureText, type TemperatureUnit } from './temperature.ts'

export const ROLES = ['water', 'room', 'air', 'light'] as const
export type Role = (typeof ROLES)[number]

export const ROLE_WORDS: Record<Role, string> = {
  water: 'Water probe',
  room: 'Room probe',
  air: 'Air flow',
  light: 'Light',
}

type Channel = Device['channels'][number]

/** The part that a channel most likely plays, from its name: `2/air` is air. `null` when the name tells nothing. */
export function likelyRole(name: string): Role | null {
  const last = name.split('/').at(-1) ?? ''
  return ROLES.find(role => role === last) ?? null
}

/** A channel's newest value in words. */
export function channelValue(channel: Channel, unit: TemperatureUnit): string {
  const { value, quality } = channel.latest
  if (quality !== 'good') return faultWord(quality)
  if (value === null) return 'no value'
  switch (channel.unit) {
    case 'Cel':
      return temperatureText(value, unit)
    case 'l/min':
      return airText(value)
    case 'lx':
      return lightText(value)
    default:
      return `${Number(value.toPrecision(4))} ${channel.unit}`.trim()
  }
}

/** One vessel's worth of channels on a device: `2/water` and `2/air` belong together, so do `water` and `air`. */
export interface ChannelGroup {
  /** `2` for `2/water`; empty for plain names. */
  readonly prefix: string
  readonly channels: readonly { readonly role: Role; readonly channel: Channel }[]
}

/** Groups of channels with a known role that are on no vessel yet. */
export function unplacedGroups(device: Device): ChannelGroup[] {
  const groups = new Map<string, { role: Role; channel: Channel }[]>()
  for (const channel of device.channels) {
    const role = likelyRole(channel.name)
    if (role === null) continue
    const prefix = channel.name.split('/').slice(0, -1).join('/')
    const group = groups.get(prefix) ?? []
    if (!group.some(each => each.role === role)) group.push({ role, channel })
    groups.set(prefix, group)
  }
  return [...groups]
    .filter(([, channels]) => channels.every(({ channel }) => channel.assignedTo === null))
    .map(([prefix, channels]) => ({ prefix, channels }))
}

/** `water 24.9 °C (76.8 °F), air 0.62 l/min and light 840 lx`. */
export function groupText(group: ChannelGroup, unit: TemperatureUnit): string {
  const parts = group.channels.map(({ role, channel }) => `${role} ${channelValue(channel, unit)}`)
  return parts.length < 2 ? (parts[0] ?? '') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`
}
