import { covers, isReserved, isTopicFilter, isTopicName, matches } from './topic-filter.ts'
import { isDeviceName, TOPIC_ROOT, TopicKind, topicOf } from '../../firmware-protocol/topics.ts'

/** The topics of one device: all that it may touch. */
export interface Rights {
  readonly device: string
  readonly measurements: string
  readonly state: string
  /** What every topic of the device begins with. */
  readonly prefix: string
}

/** @throws RangeError for something that is not a device's name. */
export function rightsOf(device: string): Rights {
  return {
    device,
    measurements: topicOf(device, TopicKind.measurements),
    state: topicOf(device, TopicKind.state),
    prefix: `${TOPIC_ROOT}/${device}/`,
  }
}

/** Its own topics by name or by a wildcard within them; a filter that begins elsewhere reaches what others send. */
export function maySubscribe(rights: Rights, filter: string): boolean {
  if (!filter.startsWith(rights.prefix)) return false
  const kind = filter.slice(rights.prefix.length)
  return kind === '#' || kind === '+' || KINDS.has(kind)
}

/** What the credentials of a bridge allow: topics of others, never ours. */
export interface BridgeRights {
  readonly bridge: string
  readonly filters: readonly string[]
}

/** Also of a last will, and of what is to be retained. */
export function bridgeMayPublish({ filters }: BridgeRights, topic: string): boolean {
  return isTopicName(topic) && !isReserved(topic) && filters.some(filter => matches(filter, topic))
}

/** All that the filter stands for must be allowed. Our own topics are never handed on, whatever it stands for. */
export function bridgeMaySubscribe({ filters }: BridgeRights, asked: string): boolean {
  return isTopicFilter(asked) && filters.some(filter => covers(filter, asked))
}

/** Whether a filter that {@link maySubscribe} allows covers what the device itself measures. */
export function hearsMeasurements(rights: Rights, filter: string): boolean {
  return filter === rights.measurements || filter.endsWith('#') || filter.endsWith('+')
}

const KINDS: ReadonlySet<string> = new Set(Object.values(TopicKind))
/**
 * Client identifiers are chosen by devices, and whoever gives another's takes its session over (MQTT 3.1.1 clause 3.1.4-2).
 * So each device has its own: `bench-1/whatever`. A device's name holds no "/".
 */
export function ownIdentifier(device: string, identifier: string): string {
  return `${device}/${identifier}`
}

/** The device that an identifier made by {@link ownIdentifier} belongs to. */
export function ownerOf(identifier: string): string | undefined {
  const device = identifier.slice(0, Math.max(0, identifier.indexOf('/')))
  return isDeviceName(device) ? device : undefined
}
