import { encode } from 'cborg'
import fc from 'fast-check'
import { MAX_PAYLOAD_BYTES, MAX_RECORDS } from '../../firmware-protocol/pack.ts'
import { CBOR_LABELS } from '../../firmware-protocol/senml-cbor.ts'

const names = fc.oneof(
  { weight: 4, arbitrary: fc.constantFrom('water', 'air', 'light', '1/water', 'level') },
  { weight: 3, arbitrary: fc.constantFrom('seq', 'boot', 'uptime') },
  { weight: 1, arbitrary: fc.constantFrom('', '__proto__', 'constructor', 'a b', 'n'.repeat(200)) },
  { weight: 1, arbitrary: fc.string() },
)
const units = fc.constantFrom('Cel', 'l/min', 'lx', 'K', 'degF', 's', '')
const wholes = fc.integer({ min: -2, max: 3 })
const numbers = fc.oneof(
  fc.constantFrom(27, 27.0625, 0, 1e308, -1e308, 123_456_789.25),
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  wholes,
)
const texts = fc.oneof(fc.constantFrom('b1', '', 't'.repeat(65), 't'.repeat(300), 'ä"\\'), fc.string())
const times = fc.oneof(
  wholes,
  fc.double({ min: -1e4, max: 1e4, noNaN: true }),
  fc.constantFrom(1e9, 1.7e308, -1.7e308),
)
/** As a value is, and as none is. */
const odd = fc.constantFrom<unknown>('27', null, true, [], {}, 1.5)

/** In the order in which devices write them. */
const usual = fc.oneof(
  fc.record({ n: names, u: units, v: numbers, t: times }, { requiredKeys: ['n', 'v'] }),
  fc.record({ n: names, vs: texts }),
)
/** SenML with its base fields, sums and data (RFC 8428 section 4). */
const whole = fc
  .record(
    {
      bn: fc.constantFrom('', 'x/', 'x'.repeat(130)),
      bt: times,
      bu: units,
      bv: numbers,
      bs: numbers,
      bver: fc.constantFrom(10, 9, 11, 0),
      n: names,
      u: units,
      t: times,
      ut: wholes,
    },
    { requiredKeys: [] },
  )
  .chain(base =>
    fc
      .constantFrom('v', 'vs', 'vb', 'vd', 's', 'none')
      .chain(label => {
        if (label === 'vb') return fc.record({ vb: fc.boolean() })
        if (label === 'vs') return fc.record({ vs: texts })
        if (label === 'vd') return fc.record({ vd: fc.constant('AA') })
        if (label === 's') return fc.record({ s: numbers, v: numbers }, { requiredKeys: ['s'] })
        return label === 'v' ? fc.record({ v: numbers }) : fc.constant({})
      })
      .map(value => ({ ...base, ...value })),
  )
/** With one field that is wrong, or that nobody knows. */
const wrong = fc
  .tuple(
    whole,
    fc.constantFrom(...Object.keys(CBOR_LABELS), 'x', 'x_'),
    fc.oneof(odd, numbers, fc.constant(1.25)),
  )
  .map(([record, label, value]): Record<string, unknown> => ({ ...record, [label]: value }))
const record: fc.Arbitrary<unknown> = fc.oneof(
  { weight: 6, arbitrary: usual },
  { weight: 3, arbitrary: whole },
  { weight: 2, arbitrary: wrong },
  { weight: 1, arbitrary: odd },
)
const pack: fc.Arbitrary<unknown> = fc.oneof(
  { weight: 8, arbitrary: fc.array(usual, { maxLength: 4 }) },
  { weight: 8, arbitrary: fc.array(record, { maxLength: 6 }) },
  { weight: 1, arbitrary: odd },
)

/** Half of them left as they are: what is behind the first check is reached by what passes it. */
const damaged = (whole: fc.Arbitrary<Uint8Array>): fc.Arbitrary<Uint8Array> =>
  fc
    .tuple(
      whole,
      fc.array(fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 })), { minLength: 1, maxLength: 5 }),
      fc.nat({ max: 9 }),
      fc.boolean(),
    )
    .map(([bytes, places, cut, isLeft]) => {
      if (isLeft) return bytes
      const changed = Uint8Array.from(bytes)
      for (const [place, value] of places) if (changed.length > 0) changed[place % changed.length] = value
      return cut === 0 ? changed.subarray(0, changed.length >> 1) : changed
    })

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text)
const rare = <T>(usually: fc.Arbitrary<T>, ...others: readonly T[]): fc.Arbitrary<T> =>
  fc.oneof({ weight: 40, arbitrary: usually }, { weight: 1, arbitrary: fc.constantFrom(...others) })

/** The bytes of a pack as SenML JSON, damaged or not. */
export const jsonPack = damaged(
  rare(
    fc
      .tuple(pack, fc.constantFrom('', '', ' ', '\n'))
      .map(([each, space]) => bytesOf(space + JSON.stringify(each))),
    bytesOf(`[${'{},'.repeat(MAX_RECORDS)}{}]`),
    bytesOf(`[${'{"n":"a","v":1},'.repeat(MAX_RECORDS - 1)}{"n":"a","v":1}]`),
    bytesOf(`[${'{"n":"a","v":1},'.repeat(MAX_RECORDS)}`),
    bytesOf('[{"n":"water","v":27.}]'),
    bytesOf('[{"n":"water","v":27}] '),
    bytesOf(' '.repeat(MAX_PAYLOAD_BYTES + 1)),
    bytesOf(''),
  ),
)

/** Data are bytes in CBOR, and labels small integers (RFC 8428 section 6). */
const asCbor = (one: unknown): unknown =>
  typeof one !== 'object' || one === null || Array.isArray(one)
    ? one
    : new Map(
        Object.entries(one).map(([label, value]) => [
          CBOR_LABELS[label as keyof typeof CBOR_LABELS] ?? label,
          label === 'vd' && typeof value === 'string' ? bytesOf(value) : value,
        ]),
      )

/** `[{n: "water", v: 275e-1}]`, its number a decimal fraction (RFC 8949 section 3.4.4). */
const FRACTION = [0x81, 0xa2, 0x00, 0x65, ...bytesOf('water'), 0x02, 0xc4, 0x82, 0x20, 0x19, 0x01, 0x13]
/** "This is CBOR" (RFC 8949 section 3.4.6). */
const SELF_DESCRIBED = [0xd9, 0xd9, 0xf7]

/** The bytes of a pack as SenML CBOR, damaged or not. */
export const cborPack = damaged(
  rare(
    fc
      .tuple(pack, fc.boolean())
      .map(([each, isDescribed]) =>
        Uint8Array.from([
          ...(isDescribed ? SELF_DESCRIBED : []),
          ...encode(Array.isArray(each) ? each.map(asCbor) : each),
        ]),
      ),
    Uint8Array.from(FRACTION),
    // One label by its number and by its text.
    encode([
      new Map<unknown, unknown>([
        [CBOR_LABELS.n, 'water'],
        ['n', 'air'],
      ]),
    ]),
    // A fraction of three, and one of texts.
    Uint8Array.from([...FRACTION.slice(0, 11), 0x83, 0x20, 0x01, 0x01]),
    Uint8Array.from([...FRACTION.slice(0, 11), 0x82, 0x61, 0x78, 0x01]),
  ),
)
