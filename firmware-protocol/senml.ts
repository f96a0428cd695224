import { z } from 'zod'

/** A time below this many seconds is relative to the moment of reading; from it on, Unix time. RFC 8428 section 4.5.3. */
export const ABSOLUTE_FROM_S = 2 ** 28

/** The version of SenML that RFC 8428 describes (section 4.4); later versions may change what records mean. */
export const SENML_VERSION = 10

const number = z.number()

/** One SenML record as it is written, JSON labels (RFC 8428 sections 4.1, 4.2 and 4.3). Unknown labels are let through. */
export const senmlRecord = z
  .looseObject({
    bn: z.string().optional(),
    bt: number.optional(),
    bu: z.string().optional(),
    bv: number.optional(),
    bs: number.optional(),
    bver: z.int().positive().optional(),
    n: z.string().optional(),
    u: z.string().optional(),
    v: number.optional(),
    vs: z.string().optional(),
    vb: z.boolean().optional(),
    vd: z.union([z.string(), z.instanceof(Uint8Array)]).optional(),
    s: number.optional(),
    t: number.optional(),
    ut: number.optional(),
  })
  .meta({ title: 'SenML record' })
export type SenmlRecord = z.infer<typeof senmlRecord>

/** A record after its base fields were applied: it stands alone (RFC 8428 section 4.6). */
export interface ResolvedRecord {
  readonly name: string
  readonly unit: string | null
  /** Seconds: Unix time from {@link ABSOLUTE_FROM_S} on, else relative to now. */
  readonly timeS: number
  /** `undefined` when the record carries a sum only. Bytes (`vd`) stay as they were written. */
  readonly value: number | string | boolean | { readonly data: string | Uint8Array } | undefined
  readonly sum?: number
}

/** A record that could not be read, and why: "record 3: …". */
export interface RejectedRecord {
  readonly record: unknown
  readonly detail: string
}

export interface Resolved {
  readonly records: ResolvedRecord[]
  readonly rejected: RejectedRecord[]
}

/** Thrown for a pack of a later SenML version: nothing in it may be believed. */
export class SenmlVersionError extends Error {
  override readonly name = 'SenmlVersionError'
}

// RFC 8428 section 4.5.1: letters, digits, "-", ":", ".", "/" and "_", beginning with a letter or digit.
const NAME = /^[A-Za-z0-9][A-Za-z0-9\-:./_]*$/
const NAME_LENGTH = 128

export function isSenmlName(text: string): boolean {
  return text.length <= NAME_LENGTH && NAME.test(text)
}

/**
 * Applies base fields to the records that follow them. A record that breaks a rule is set aside and changes no base;
 * the others are kept.
 */
export function resolveRecords(written: readonly unknown[]): Resolved {
  const records: ResolvedRecord[] = []
  const rejected: RejectedRecord[] = []
  const base: Base = { name: '', timeS: 0, unit: null, value: 0, sum: null }
  for (let index = 0; index < written.length; index++) {
    const record = written[index]
    const problem = resolveOne(record, base, records)
    if (problem !== null) rejected.push({ record, detail: `record ${index + 1}: ${problem}` })
  }
  return { records, rejected }
}

interface Base {
  name: string
  timeS: number
  unit: string | null
  value: number
  sum: number | null
}

/** Hand-written, not through the schema: this runs for every record of every device. A property test holds the two together. */
function resolveOne(record: unknown, base: Base, into: ResolvedRecord[]): string | null {
  if (typeof record !== 'object' || record === null || Array.isArray(record)) return 'is not a SenML object'
  const r = record as Record<string, unknown>
  let values = 0
  let ownFields = false
  for (const label in r) {
    const field = r[label]
    switch (label) {
      case 'bn':
      case 'bu':
        if (typeof field !== 'string') return `"${label}" must be text`
        break
      case 'n':
      case 'u':
        if (typeof field !== 'string') return `"${label}" must be text`
        ownFields = true
        break
      case 'bt':
      case 'bv':
      case 'bs':
        if (!isNumber(field)) return `"${label}" must be a finite number`
        break
      case 's':
      case 't':
      case 'ut':
        if (!isNumber(field)) return `"${label}" must be a finite number`
        ownFields = true
        break
      case 'v':
        if (!isNumber(field)) return '"v" must be a finite number'
        values++
        break
      case 'vs':
        if (typeof field !== 'string') return '"vs" must be text'
        values++
        break
      case 'vb':
        if (typeof field !== 'boolean') return '"vb" must be true or false'
        values++
        break
      case 'vd':
        if (typeof field !== 'string' && !(field instanceof Uint8Array)) return '"vd" must be data'
        values++
        break
      case 'bver':
        if (!isNumber(field) || !Number.isInteger(field) || field < 1)
          return '"bver" must be a positive whole number'
        if (field > SENML_VERSION) {
          throw new SenmlVersionError(
            `Cannot read the pack: SenML versions up to ${SENML_VERSION} are known, got "bver" ${field}`,
          )
        }
        break
      default:
        // RFC 8428 section 4.4: such a field changes the record's meaning for whoever does not know it.
        if (label.endsWith('_')) return `field "${label.slice(0, 40)}" must be understood and is not known`
    }
  }
  if (values > 1) return 'has more than one of "v", "vs", "vb" and "vd"'

  const baseName = r.bn === undefined ? base.name : (r.bn as string)
  const hasSum = r.s !== undefined || (r.bs ?? base.sum) !== null
  const says = values === 1 || r.s !== undefined || (hasSum && ownFields)
  if (!says && ownFields) return 'has no value: "v", "vs" or "vb" is missing'
  let name = ''
  if (says) {
    name = r.n === undefined ? baseName : baseName + (r.n as string)
    if (name.length > NAME_LENGTH) return `its name is longer than ${NAME_LENGTH} characters`
    if (!NAME.test(name))
      return `its name "${name.slice(0, 40)}" must be of A-Z a-z 0-9 - : . / _ and begin with a letter or digit`
  }
  const baseTimeS = r.bt === undefined ? base.timeS : (r.bt as number)
  const baseValue = r.bv === undefined ? base.value : (r.bv as number)
  const timeS = r.t === undefined ? baseTimeS : baseTimeS + (r.t as number)
  const value = r.v === undefined ? undefined : baseValue + (r.v as number)
  if (!Number.isFinite(timeS)) return 'its time is out of range'
  if (value !== undefined && !Number.isFinite(value)) return 'its value is out of range'

  base.name = baseName
  base.timeS = baseTimeS
  base.value = baseValue
  if (r.bu !== undefined) base.unit = r.bu as string
  if (r.bs !== undefined) base.sum = r.bs as number
  if (!says) return null
  const unit = r.u === undefined ? base.unit : (r.u as string)
  const resolved = { name, unit, timeS, value: value ?? otherValue(r) }
  if (hasSum) into.push({ ...resolved, sum: (base.sum ?? 0) + ((r.s as number | undefined) ?? 0) })
  else into.push(resolved)
  return null
}

function otherValue(r: Record<string, unknown>): ResolvedRecord['value'] {
  if (r.vs !== undefined) return r.vs as string
  if (r.vb !== undefined) return r.vb as boolean
  return r.vd === undefined ? undefined : { data: r.vd as string | Uint8Array }
}

function isNumber(value: unknown): value is number {
  return typeof value === 'number' && Number.isFinite(value)
}
