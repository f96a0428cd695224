/** Where a device and the broker speak to each other: `brinewatch/v1/<device>/<kind>`. */
export const TOPIC_ROOT = 'brinewatch/v1'

/** What a topic carries. The device writes `measurements` and `state`, and reads the other three. */
export const TopicKind = {
  measurements: 'measurements',
  state: 'state',
  config: 'config',
  alarm: 'alarm',
  command: 'command',
} as const
export type TopicKind = (typeof TopicKind)[keyof typeof TopicKind]

/** A device's name is one topic level, its MQTT user name, and safe in a file name or an address. */
export const DEVICE_NAME = /^[A-Za-z0-9][A-Za-z0-9_-]{0,62}$/

const PREFIX = `${TOPIC_ROOT}/`
const KINDS: ReadonlySet<string> = new Set(Object.values(TopicKind))

export function isDeviceName(name: string): boolean {
  return DEVICE_NAME.test(name)
}

/**
 * @example topicOf('bench-1', 'measurements') // 'brinewatch/v1/bench-1/measurements'
 * @throws RangeError for something that is not a device's name.
 */
export function topicOf(device: string, kind: TopicKind): string {
  if (!isDeviceName(device)) {
    throw new RangeError(
      `Cannot name a topic: a device's name is 1 to 63 letters, digits, "-" and "_" and begins with a letter or digit, got "${device}"`,
    )
  }
  return `${PREFIX}${device}/${kind}`
}

/** The device and kind of a topic; `undefined` for a topic that is not one of ours. */
export function parseTopic(topic: string): { device: string; kind: TopicKind } | undefined {
  if (!topic.startsWith(PREFIX)) return undefined
  const slash = topic.indexOf('/', PREFIX.length)
  if (slash < 0) return undefined
  const device = topic.slice(PREFIX.length, slash)
  const kind = topic.slice(slash + 1)
  if (!KINDS.has(kind) || !isDeviceName(device)) return undefined
  return { device, kind: kind as TopicKind }
}
