import { decode, encode } from 'cborg'

/** SenML in CBOR, RFC 8428 section 6: an array of maps whose labels are small integers. */

/** RFC 8428 section 6, table 4: CBOR's integer labels by the JSON labels. */
export const CBOR_LABELS = {
  bver: -1,
  bn: -2,
  bt: -3,
  bu: -4,
  bv: -5,
  bs: -6,
  n: 0,
  u: 1,
  v: 2,
  vs: 3,
  vb: 4,
  s: 5,
  t: 6,
  ut: 7,
  vd: 8,
} as const

const JSON_LABELS: ReadonlyMap<unknown, string> = new Map(
  Object.entries(CBOR_LABELS).map(([json, cbor]) => [cbor, json]),
)

const DECIMAL_FRACTION = 4
const SELF_DESCRIBED = 55799

const OPTIONS = {
  useMaps: true,
  rejectDuplicateMapKeys: true,
  tags: {
    // RFC 8428 section 11 lets a number be a decimal fraction, [exponent, mantissa] (RFC 8949 section 3.4.4).
    [DECIMAL_FRACTION]: (content: () => unknown) => decimalFraction(content()),
    [SELF_DESCRIBED]: (content: () => unknown) => content(),
  },
}

/**
 * The records as written, unresolved, with JSON labels. Labels written as text are taken as they are.
 * @throws Error when the bytes are not one CBOR array.
 */
export function readSenmlCbor(payload: Uint8Array): unknown[] {
  const decoded: unknown = decode(payload, OPTIONS)
  if (!Array.isArray(decoded)) throw new TypeError('the CBOR item is not an array of records')
  return decoded.map(withJsonLabels)
}

export function writeSenmlCbor(records: readonly Readonly<Record<string, unknown>>[]): Uint8Array {
  return encode(
    records.map(
      record =>
        new Map(
          Object.entries(record).map(([label, value]) => [
            CBOR_LABELS[label as keyof typeof CBOR_LABELS] ?? label,
            value,
          ]),
        ),
    ),
  )
}

function withJsonLabels(item: unknown): unknown {
  if (!(item instanceof Map)) return item
  const record = Object.create(null) as Record<string, unknown>
  for (const [label, value] of item as Map<unknown, unknown>) {
    const text = JSON_LABELS.get(label) ?? (typeof label === 'string' ? label : `label ${String(label)}`)
    // One field written twice, once by number and once by text: neither can be believed.
    if (text in record) return 'a record with one label twice'
    record[text] = value
  }
  return record
}

function decimalFraction(content: unknown): unknown {
  if (!Array.isArray(content) || content.length !== 2) return content
  const [exponent, mantissa] = content as unknown[]
  if (typeof exponent !== 'number' || typeof mantissa !== 'number') return content
  // Through text, so that 231 tenths is exactly the number 23.1.
  return Number(`${mantissa}e${exponent}`)
}
