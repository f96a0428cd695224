/** What a loading device says: one pack, made once, in which only digits are changed before it is sent again. */

/** Packs of a device with three sensors, or of one with a water probe alone. */
export const PackKind = { three: 'three', one: 'one' } as const
export type PackKind = (typeof PackKind)[keyof typeof PackKind]

export const READINGS_OF: Readonly<Record<PackKind, number>> = { three: 3, one: 1 }

/** Seven digits from the first to the last, so that a pack never changes its length. */
const FIRST_SEQ = 1_000_000
const PUBLISH_QOS_1 = 0x32
/** What a probe that steps by 1/16 °C can say, after "27.". */
const SIXTEENTHS = Array.from({ length: 16 }, (_, i) => String((i * 625) % 10_000).padStart(4, '0'))

/** One PUBLISH with room for one message under way. */
export interface Slot {
  readonly bytes: Buffer
  /** Writes the next number and new values into the bytes. */
  renew(seq: number): void
}

/** @param packetId 1 to 65,535; the slot's own, used again once it was acknowledged. */
export function makeSlot(device: string, boot: string, kind: PackKind, packetId: number): Slot {
  const water = { n: 'water', u: 'Cel', v: 27.0625 }
  const others = [
    { n: 'air', u: 'l/min', v: 0.51 },
    { n: 'light', u: 'lx', v: 3011 },
  ]
  const records = [
    { n: 'boot', vs: boot },
    { n: 'seq', v: FIRST_SEQ },
    water,
    ...(kind === PackKind.three ? others : []),
  ]
  const payload = Buffer.from(JSON.stringify(records))
  const topic = Buffer.from(`brinewatch/v1/${device}/measurements`)
  const head = Buffer.alloc(2 + topic.length + 2)
  head.writeUInt16BE(topic.length, 0)
  topic.copy(head, 2)
  head.writeUInt16BE(packetId, 2 + topic.length)
  const body = Buffer.concat([head, payload])
  const bytes = Buffer.concat([Buffer.from([PUBLISH_QOS_1]), lengthBytes(body.length), body])

  const seqAt = bytes.indexOf(String(FIRST_SEQ))
  const waterAt = bytes.indexOf('27.0625') + 3
  const airAt = bytes.indexOf('0.51') + 2
  const lightAt = bytes.indexOf('3011') + 2
  return {
    bytes,
    renew(seq) {
      bytes.write(String(FIRST_SEQ + seq), seqAt, 'latin1')
      bytes.write(SIXTEENTHS[seq % 16]!, waterAt, 'latin1')
      if (kind === PackKind.one) return
      const digits = String(10 + (seq % 90))
      bytes.write(digits, airAt, 'latin1')
      bytes.write(digits, lightAt, 'latin1')
    },
  }
}

/** MQTT 3.1.1 section 3.1, clean session, no keep-alive. */
export function connectPacket(clientId: string, user: string, password: string): Buffer {
  const text = (value: string) => {
    const bytes = Buffer.from(value)
    return Buffer.concat([Buffer.from([bytes.length >> 8, bytes.length & 0xff]), bytes])
  }
  const cleanWithCredentials = 0xc2
  const body = Buffer.concat([
    text('MQTT'),
    Buffer.from([4, cleanWithCredentials, 0, 0]),
    text(clientId),
    text(user),
    text(password),
  ])
  return Buffer.concat([Buffer.from([0x10]), lengthBytes(body.length), body])
}

/** MQTT 3.1.1 section 2.2.3. */
function lengthBytes(length: number): Buffer {
  const bytes = []
  do {
    const seven = length % 128
    length = Math.floor(length / 128)
    bytes.push(length > 0 ? seven | 0x80 : seven)
  } while (length > 0)
  return Buffer.from(bytes)
}
