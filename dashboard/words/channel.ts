import type { Device } from '../../broker/web/api/devices.ts'
import { airText, levelText, lightText } from './amounts.ts'
import { faultWord } from './condition.ts'
import { shortTemperature, temperatureText, type TemperatureUnit } from './temperature.ts'

export const ROLES = ['water', 'upper-water', 'room', 'air', 'light', 'level'] as const
export type Role = (typeof ROLES)[number]

export const ROLE_WORDS: Record<Role, string> = {
  water: 'Water probe',
  'upper-water': 'Upper water probe',
  room: 'Room probe',
  air: 'Air flow',
  light: 'Light',
  level: 'Water level',
}

type Channel = Device['channels'][number]

const ROLE_OF_UNIT: Readonly<Record<string, Role>> = {
  Cel: 'water',
  'l/min': 'air',
  lx: 'light',
}

/** The part that a channel's name says it plays: `2/air` is air. `null` when the name tells nothing. */
export function namedRole(name: string): Role | null {
  const last = name.split('/').at(-1) ?? ''
  return ROLES.find(role => role === last) ?? null
}

/** The unit that each part is measured in, as SenML has it. */
const UNIT_OF_ROLE: Record<Role, string> = {
  water: 'Cel',
  'upper-water': 'Cel',
  room: 'Cel',
  air: 'l/min',
  light: 'lx',
  level: '/',
}

/** Whether it measures what this part needs: by its name, else by its unit. `null` where neither tells. */
export function fits({ name, unit }: Pick<Channel, 'name' | 'unit'>, role: Role): boolean | null {
  const named = namedRole(name)
  if (named !== null) return UNIT_OF_ROLE[named] === UNIT_OF_ROLE[role]
  // A share of one may be anything.
  const known = ROLES.find(each => each !== 'level' && UNIT_OF_ROLE[each] === unit)
  return known === undefined ? null : UNIT_OF_ROLE[known] === UNIT_OF_ROLE[role]
}

interface Offer {
  readonly ref: string
  readonly device: string
  readonly channel: Channel
}
export interface Offers<Each> {
  /** Of this vessel and on none, those of its own devices and named after the part foremost. */
  readonly own: readonly Each[]
  /** On other vessels, by their ids. */
  readonly elsewhere: ReadonlyMap<string, readonly Each[]>
  /** What they measure is not known. */
  readonly other: readonly Each[]
}

/** The channels that may play a part in a vessel: what measures something else is not offered. */
export function offersFor<Each extends Offer>(
  offers: readonly Each[],
  role: Role,
  vesselId: string,
): Offers<Each> {
  const isHere = ({ channel }: Each) => channel.assignedTo?.vesselId === vesselId
  const devices = new Set(offers.filter(isHere).map(({ device }) => device))
  const rank = (each: Each) =>
    (isHere(each) ? 0 : devices.has(each.device) ? 2 : 4) + (namedRole(each.channel.name) === role ? 0 : 1)
  const fitting = offers
    .filter(({ channel }) => fits(channel, role) === true)
    .sort((a, b) => rank(a) - rank(b))
  const elsewhere = new Map<string, Each[]>()
  for (const each of fitting) {
    const { assignedTo } = each.channel
    if (assignedTo === null || isHere(each)) continue
    elsewhere.set(assignedTo.vesselId, [...(elsewhere.get(assignedTo.vesselId) ?? []), each])
  }
  return {
    own: fitting.filter(each => each.channel.assignedTo === null || isHere(each)),
    elsewhere,
    other: offers.filter(({ channel }) => fits(channel, role) === null),
  }
}

/** A channel's newest value as short as it can be said: a temperature in the person's unit alone. */
export function shortValue(channel: Channel, unit: TemperatureUnit): string {
  const { value, quality } = channel.latest
  const isTemperature = channel.unit === 'Cel' && quality === 'good' && value !== null
  return isTemperature ? shortTemperature(value, unit) : channelValue(channel, unit)
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
    case '/':
      return namedRole(channel.name) === 'level' ? levelText(value) : plainValue(value, '')
    default:
      return plainValue(value, channel.unit)
  }
}

const plainValue = (value: number, unit: string): string => `${Number(value.toPrecision(4))} ${unit}`.trim()

/** One vessel's worth of channels on a device: `2/water` and `2/air` belong together, so do `water` and `air`. */
export interface ChannelGroup {
  /** `2` for `2/water`; empty for plain names. */
  readonly prefix: string
  readonly channels: readonly { readonly role: Role; readonly channel: Channel }[]
}

/**
 * Groups of channels that are on no vessel yet, each with the part it most likely plays: by its name, else by its unit, where
 * no other channel plays that part.
 */
export function unplacedGroups(device: Device): ChannelGroup[] {
  const groups = new Map<string, Map<Role, Channel>>()
  const offer = (channel: Channel, role: Role | null | undefined) => {
    if (!role) return
    const prefix = channel.name.split('/').slice(0, -1).join('/')
    const group = groups.get(prefix) ?? new Map<Role, Channel>()
    if (!group.has(role)) group.set(role, channel)
    groups.set(prefix, group)
  }
  for (const channel of device.channels) offer(channel, namedRole(channel.name))
  for (const channel of device.channels)
    if (namedRole(channel.name) === null) offer(channel, ROLE_OF_UNIT[channel.unit])
  return [...groups]
    .filter(([, roles]) => [...roles.values()].every(channel => channel.assignedTo === null))
    .map(([prefix, roles]) => ({
      prefix,
      channels: [...roles].map(([role, channel]) => ({ role, channel })),
    }))
}

/** In one short line, temperatures in the person's unit: `water 24.9 °C, air 0.62 l/min, light 840 lx`. */
export function groupText(group: ChannelGroup, unit: TemperatureUnit): string {
  return group.channels.map(({ role, channel }) => `${role} ${shortValue(channel, unit)}`).join(', ')
}
