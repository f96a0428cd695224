import { z } from 'zod'
import type { Clock } from '../clock.ts'
import {
  calibrate,
  type Calibration,
  type CalibrationPoint,
  ICE_PLUS_MINUS_C,
  ICE_POINT_C,
  ReferenceKind,
} from '../hatch/calibration/calibrate.ts'
import { CalibrationError, CalibrationFault } from '../hatch/calibration/errors.ts'
import { type ProbeReading, type Steadiness, steadiness } from '../hatch/calibration/steady.ts'
import { Quality } from '../intake/reading.ts'
import { CALIBRATE_EVERY_DAYS, calibrationReminder } from '../rules/calibration-reminder.ts'
import type { Reminder } from '../rules/reminders.ts'
import type { EntryRow } from '../store/books-contract.ts'
import { Role, type Sample, type Store } from '../store/contract.ts'
import { RoomError, RoomErrorKind, type ProbeCorrection, type Room } from './contract.ts'
import type { OtherReminders } from './reminding.ts'
import type { RoomState } from './state.ts'

/** The log that calibrations are lines of; each is about one channel, `device/channel`. */
const BOOK = 'calibration'
/** How far back a probe is looked at, ms: as far as {@link steadiness} looks. */
const LOOK_BACK_MS = 10 * 60_000
/** A reference is taken over at most this long, ms; more is not one bath any more. */
const LONGEST_POINT_MS = 30 * 60_000
/** Calibrations of all probes that are kept in mind: a hundred probes for ten years. The oldest are then left out of the list. */
const MOST_KEPT = 1000

const Kept = z.object({
  gain: z.number(),
  offset: z.number(),
  residualC: z.number(),
  uncertaintyC: z.number(),
  points: z.array(
    z.object({
      reference: z.enum(ReferenceKind),
      referenceC: z.number(),
      referencePlusMinusC: z.number(),
      probeC: z.number(),
      spreadC: z.number(),
      count: z.number(),
      fromMs: z.number(),
      toMs: z.number(),
    }),
  ),
})

/** A device's temperature channel. */
export interface Probe {
  readonly device: string
  readonly channel: string
}

/** A point as it was taken, with when. */
export type TakenPoint = CalibrationPoint & { readonly fromMs: number; readonly toMs: number }

/** One calibration of one probe. It holds from its moment on, until the next; what was measured stays as it is. */
export interface CalibrationRecord extends Calibration, Probe {
  readonly id: string
  readonly atMs: number
  readonly by: string
  readonly points: readonly TakenPoint[]
  readonly withdrawnAtMs: number | null
}

/** A reference that a probe was held against, and over which time its readings belong to it. */
export interface NewPoint {
  readonly reference: ReferenceKind
  /** Of a thermometer; the ice has its own. */
  readonly referenceC?: number
  readonly referencePlusMinusC?: number
  readonly fromMs: number
  readonly toMs: number
}

/** A probe as it is now, as measured: nothing is set right here. */
export interface ProbeLook {
  readonly newest: Sample | null
  readonly steadiness: Steadiness | null
  /** On which vessel it is, and as what. */
  readonly assignedTo: { readonly vesselId: string; readonly role: Role } | null
  /** What it is set right by now; `null` while it is on no vessel and was never calibrated. */
  readonly correction: ProbeCorrection | null
}

export interface Calibrating {
  look(probe: Probe): Promise<ProbeLook>
  /** Newest first, withdrawn ones among them; of all probes or of one. */
  history(probe?: Probe): CalibrationRecord[]
  /** What would come of it: nothing is kept. @throws RoomError of kind `invalid`, with what is absurd about it. */
  reckon(probe: Probe, points: readonly NewPoint[]): Promise<Calibration & Pick<CalibrationRecord, 'points'>>
  /** Keeps it, and sets the probe right by it from now on. */
  keep(probe: Probe, points: readonly NewPoint[], by: string): Promise<CalibrationRecord>
  /** It was a mistake: the probe is set right by the one before from now on, or by none. */
  withdraw(id: string): Promise<CalibrationRecord>
}

export interface CalibratingParts {
  readonly store: Pick<Store, 'entries' | 'keepEntry' | 'samples'>
  readonly room: Pick<Room, 'snapshot' | 'assignChannels'>
  readonly clock: Clock
  readonly newId: () => string
  readonly remindAlso?: (others: OtherReminders) => void
  readonly correctBy?: (correctionOf: RoomState['correctionOf']) => void
}

export async function openCalibrating(parts: CalibratingParts): Promise<Calibrating> {
  const { store, room, clock } = parts
  let records = (await store.entries(BOOK)).slice(-MOST_KEPT).flatMap(recordOf)

  const holding = (probe: Probe): CalibrationRecord | undefined =>
    records.findLast(record => isOf(record, probe) && record.withdrawnAtMs === null)
  const correctionOf = (device: string, channel: string): ProbeCorrection | undefined => {
    const record = holding({ device, channel })
    return record && { offset: record.offset, gain: record.gain, uncertainty: record.uncertaintyC }
  }
  const place = ({ device, channel }: Probe) => {
    for (const { row, channels } of room.snapshot().vessels)
      for (const role of [Role.water, Role.upperWater, Role.room] as const) {
        const assigned = channels[role]
        if (assigned?.device === device && assigned.channel === channel) return { row, role, assigned }
      }
    return null
  }
  /** From now on the probe is set right as it was calibrated last, wherever it is. */
  const apply = async (probe: Probe): Promise<void> => {
    const at = place(probe)
    if (at === null) return
    const correction = correctionOf(probe.device, probe.channel) ?? { offset: 0 }
    await room.assignChannels(at.row.id, {
      channels: {},
      offsets: {},
      corrections: { [at.role]: correction },
    })
  }
  const samplesOf = async ({ device, channel }: Probe, fromMs: number, toMs: number): Promise<Sample[]> =>
    store.samples([{ device, channel, offset: 0, fromMs, toMs }])
  const take = async (probe: Probe, point: NewPoint, at: number): Promise<TakenPoint> => {
    const { fromMs, toMs, reference } = point
    if (!(fromMs < toMs) || toMs - fromMs > LONGEST_POINT_MS || toMs > clock() + LOOK_BACK_MS)
      throw invalid('Cannot take a point: its readings span up to 30 min, and end now or before', at)
    const looked = steadiness(usable(await samplesOf(probe, fromMs, toMs + 1)))
    if (looked === null) throw invalid('Cannot take a point: the probe sent no good reading in that time', at)
    if (!looked.steady) throw invalid('Cannot take a point: the probe was not at rest; wait until it is', at)
    const isIce = reference === ReferenceKind.ice
    return {
      reference,
      referenceC: isIce ? ICE_POINT_C : (point.referenceC ?? NaN),
      referencePlusMinusC: point.referencePlusMinusC ?? (isIce ? ICE_PLUS_MINUS_C : NaN),
      probeC: looked.meanC,
      spreadC: looked.spreadC,
      count: looked.count,
      fromMs: looked.fromMs,
      toMs: looked.toMs,
    }
  }

  const calibrating: Calibrating = {
    async look(probe) {
      const nowMs = clock()
      const samples = await samplesOf(probe, nowMs - LOOK_BACK_MS, Number.MAX_SAFE_INTEGER)
      const at = place(probe)
      return {
        newest: samples.at(-1) ?? null,
        steadiness: steadiness(usable(samples)),
        assignedTo: at && { vesselId: at.row.id, role: at.role },
        correction: at?.assigned ?? correctionOf(probe.device, probe.channel) ?? null,
      }
    },
    history: probe => records.filter(record => probe === undefined || isOf(record, probe)).toReversed(),
    async reckon(probe, points) {
      const taken: TakenPoint[] = []
      for (const [at, point] of points.entries()) taken.push(await take(probe, point, at))
      try {
        return { ...calibrate(taken), points: taken }
      } catch (error) {
        if (!(error instanceof CalibrationError)) throw error
        throw new RoomError(RoomErrorKind.invalid, error.message, fieldOf(error))
      }
    },
    async keep(probe, points, by) {
      const made = await calibrating.reckon(probe, points)
      const nowMs = clock()
      const record = { ...made, ...probe, id: parts.newId(), atMs: nowMs, by, withdrawnAtMs: null }
      await store.keepEntry(entryOf(record, nowMs))
      records = [...records, record].slice(-MOST_KEPT)
      await apply(probe)
      return record
    },
    async withdraw(id) {
      const record = records.find(each => each.id === id)
      if (record === undefined)
        throw new RoomError(
          RoomErrorKind.notFound,
          `Cannot find calibration: there is none with the id ${id}`,
        )
      if (record.withdrawnAtMs !== null) return record
      const withdrawn = { ...record, withdrawnAtMs: clock() }
      await store.keepEntry(entryOf(withdrawn, record.atMs))
      records = records.map(each => (each.id === id ? withdrawn : each))
      await apply(record)
      return withdrawn
    },
  }
  parts.correctBy?.(correctionOf)
  parts.remindAlso?.({
    of: () => {
      const { settings } = room.snapshot()
      const everyDays = settings.calibrateEveryDays ?? CALIBRATE_EVERY_DAYS
      return [...new Set(records.map(keyOf))].flatMap((key): Reminder[] => {
        const record = records.findLast(each => keyOf(each) === key && each.withdrawnAtMs === null)
        if (record === undefined) return []
        const at = place(record)
        const { device, channel, atMs } = record
        const vessel = at && { id: at.row.id, name: at.row.name }
        const probe = { device, channel, calibrationId: record.id, atMs, vessel }
        const reminder = calibrationReminder(probe, everyDays)
        return reminder === null ? [] : [reminder]
      })
    },
    onDone: () => Promise.resolve(),
  })
  return calibrating
}

const keyOf = ({ device, channel }: Probe): string => `${device}/${channel}`
const isOf = (record: Probe, probe: Probe): boolean =>
  record.device === probe.device && record.channel === probe.channel

/** What a probe shows in a bath is not measured in a vessel's water, and none the worse for that. */
const USABLE: ReadonlySet<Quality> = new Set([Quality.good, Quality.outOfWater])

function usable(samples: readonly Sample[]): ProbeReading[] {
  return samples.flatMap(({ atMs, value, quality }) =>
    value !== null && USABLE.has(quality) ? [{ atMs, valueC: value }] : [],
  )
}

function entryOf({ id, by, withdrawnAtMs, ...record }: CalibrationRecord, recordedAtMs: number): EntryRow {
  const { atMs, device, channel, ...made } = record
  const subject = keyOf({ device, channel })
  return { id, book: BOOK, subject, atMs, recordedAtMs, by, json: JSON.stringify(made), withdrawnAtMs }
}

function recordOf({ id, subject, atMs, by, json, withdrawnAtMs }: EntryRow): CalibrationRecord[] {
  const parsed = Kept.safeParse(JSON.parse(json))
  const slash = subject.indexOf('/')
  if (!parsed.success || slash < 0) return []
  const probe = { device: subject.slice(0, slash), channel: subject.slice(slash + 1) }
  return [{ ...parsed.data, ...probe, id, atMs, by, withdrawnAtMs }]
}

function invalid(message: string, at: number): RoomError {
  return new RoomError(RoomErrorKind.invalid, message, `points.${at}`)
}

function fieldOf({ fault, point }: CalibrationError): string {
  if (point === null) return 'points'
  return fault === CalibrationFault.badReference ? `points.${point}.referenceC` : `points.${point}`
}
