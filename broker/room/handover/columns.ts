import { z } from 'zod'
import { Quality, UNIT_KEPT } from '../../intake/reading.ts'
import { ColumnBuilder, type Columnar } from '../../store/codec/columns.ts'
import { isMissing, markOf, qualityOf } from '../../store/codec/mark.ts'
import { Role, type Sample } from '../../store/contract.ts'
import { Id, Moment, Text } from './parts.ts'

/** The column that a role's values stand in, named with its unit. */
export const COLUMN = {
  water: 'waterC',
  'upper-water': 'upperWaterC',
  room: 'roomC',
  air: 'airLpm',
  light: 'lightLx',
  level: 'levelShare',
} as const satisfies Record<Role, string>
type Column = (typeof COLUMN)[Role]

/** So many readings one channel may bring: 60 h at one a second. */
export const MOST_READINGS = 250_000

const values = z.array(z.number().nullable()).max(MOST_READINGS).optional()

export const Readings = z.object({
  startMs: Moment,
  afterMs: z
    .array(z.int().min(0))
    .max(MOST_READINGS)
    .describe('how long after the one before each was measured; the first after startMs'),
  waterC: values,
  upperWaterC: values.describe('by a second probe near the surface'),
  roomC: values,
  airLpm: values.describe('litres a minute'),
  lightLx: values,
  levelShare: values.describe('of a full vessel, 0 to 1'),
  quality: z
    .array(z.tuple([z.enum(Quality), z.int().min(1)]))
    .max(MOST_READINGS)
    .describe('runs: how good, and for how many readings in turn'),
})

/** One device's channel over the time that it stood for one role of the vessel. */
export const Channel = z.object({
  role: z.enum(Role),
  device: Text(80),
  channel: Text(80),
  unit: z.enum(Object.values(UNIT_KEPT) as [string, ...string[]]),
  assignmentId: Id,
  fromMs: z.int().min(0).describe('Unix ms; 0: from the beginning'),
  toMs: Moment.nullable().describe('null: until further notice'),
  gain: z.number().optional().describe('every value is to be multiplied by this first; 1 when left out'),
  offset: z.number().describe('the calibration: then to be added to every value'),
  uncertainty: z.number().min(0).optional().describe('standard uncertainty of a value set right so'),
  readings: Readings,
})
export type Channel = z.infer<typeof Channel>
export type Readings = z.infer<typeof Readings>

/** Samples as a file has them. Values are as measured, no calibration. */
export function packed(role: Role, samples: readonly Sample[], fromMs: number): Readings {
  return packedColumns(role, columnsOfSamples(samples), fromMs)
}

/** The same of columns, `fromMs` where they hold nothing. */
export function packedColumns(role: Role, { at, value, mark }: Columnar, fromMs: number): Readings {
  const startMs = at[0] ?? fromMs
  const quality: [Quality, number][] = []
  const afterMs: number[] = []
  const values: (number | null)[] = []
  let beforeMs = startMs
  for (let n = 0; n < at.length; n++) {
    const [atMs, how] = [at[n]!, mark[n]!]
    afterMs.push(atMs - beforeMs)
    beforeMs = atMs
    values.push(isMissing(how) ? null : value[n]!)
    const last = quality.at(-1)
    const named = qualityOf(how)
    if (last?.[0] === named) last[1]++
    else quality.push([named, 1])
  }
  return { startMs, afterMs, [COLUMN[role]]: values, quality }
}

function columnsOfSamples(samples: readonly Sample[]): Columnar {
  const builder = new ColumnBuilder()
  for (const sample of samples) pushSample(builder, sample)
  return builder.build()
}

/** A channel's readings as columns, oldest first. */
export function columnsOf(channel: Channel): Columnar {
  const builder = new ColumnBuilder()
  eachSample(channel, sample => pushSample(builder, sample))
  return builder.build()
}

export const pushSample = (builder: ColumnBuilder, { atMs, value, quality }: Sample): void =>
  builder.push(atMs, value ?? Number.NaN, markOf(quality, value === null))

/** What is wrong with columns that do not belong together, in one sentence; `null` for nothing. */
export function mismatch({ role, readings }: Channel): string | null {
  const column = COLUMN[role]
  const values = readings[column]
  const others = Object.values(COLUMN).filter(each => each !== column && readings[each] !== undefined)
  if (values === undefined) return `the readings of ${role} need the column ${column}`
  if (others.length > 0) return `the readings of ${role} must not have the column ${others.join(', ')}`
  const { length } = readings.afterMs
  if (values.length !== length) return `${column} has ${values.length} values for ${length} times`
  const qualities = readings.quality.reduce((sum, [, count]) => sum + count, 0)
  if (qualities !== length) return `quality speaks of ${qualities} readings, and ${role} has ${length}`
  return null
}

/** Calls for each reading of a channel, oldest first. */
export function eachSample({ role, readings }: Channel, take: (sample: Sample) => void): void {
  const values = readings[COLUMN[role] satisfies Column] ?? []
  let atMs = readings.startMs
  let at = 0
  for (const [quality, count] of readings.quality)
    for (let left = count; left > 0; left--, at++) {
      atMs += readings.afterMs[at] ?? 0
      take({ atMs, value: values[at] ?? null, quality })
    }
}
