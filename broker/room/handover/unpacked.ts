import { UNIT_KEPT } from '../../intake/reading.ts'
import type { Alarm } from '../../rules/alarm.ts'
import type { Columnar } from '../../store/codec/columns.ts'
import type { AssignmentRow, BatchEventRow, BatchRow, Role, WatchRow } from '../../store/contract.ts'
import { othersFirst } from '../../turns.ts'
import { quantityOf } from '../roles.ts'
import { columnsOf } from './columns.ts'
import type { HandedOver } from './format.ts'
import { alarmsOf, assignmentsOf, batchOf, eventRowsOf, watchRowsOf } from './rows.ts'

/** Rows as pieces of JSON, each a list of some: what passes between threads in one go is taken apart there in one go. */
export interface Sliced<Row> {
  readonly slices: readonly Uint8Array<ArrayBuffer>[]
  /** Of which kind they are; never there. */
  readonly row?: Row
}

export interface UnpackedChannel {
  readonly role: Role
  readonly device: string
  readonly channel: string
  readonly columns: Columnar
}

/** What a file says, as the store keeps it, in pieces none of which takes long. */
export interface Unpacked {
  readonly batch: BatchRow
  readonly vessel: HandedOver['vessel']
  readonly assignments: readonly AssignmentRow[]
  readonly channels: readonly UnpackedChannel[]
  readonly events: Sliced<BatchEventRow>
  readonly alarms: Sliced<Alarm>
  readonly watch: Sliced<WatchRow>
  readonly photos: readonly {
    readonly id: string
    readonly media: string
    readonly createdAtMs: number
    readonly body: Uint8Array<ArrayBuffer>
  }[]
}

/** A piece of rows takes about a millisecond to parse. */
const SLICE_CHARS = 128 * 1024

export function unpacked(file: HandedOver): Unpacked {
  return {
    batch: batchOf(file),
    vessel: file.vessel,
    assignments: assignmentsOf(file),
    channels: file.channels.map(each => ({
      role: each.role,
      device: each.device,
      channel: each.channel,
      columns: columnsOf(each),
    })),
    events: sliced(eventRowsOf(file)),
    alarms: sliced(alarmsOf(file)),
    watch: sliced(watchRowsOf(file)),
    photos: file.photos.map(({ id, media, createdAtMs, base64 }) => ({
      id,
      media,
      createdAtMs,
      body: new Uint8Array(Buffer.from(base64, 'base64')),
    })),
  }
}

/** The buffers that need not be copied when it goes to another thread. */
export function buffersOf({ channels, events, alarms, watch, photos }: Unpacked): ArrayBuffer[] {
  return [
    ...channels.flatMap(({ columns: { at, value, mark } }) => [at.buffer, value.buffer, mark.buffer]),
    ...[events, alarms, watch].flatMap(({ slices }) => slices.map(({ buffer }) => buffer)),
    ...photos.map(({ body }) => body.buffer),
  ] as ArrayBuffer[]
}

function sliced<Row>(rows: readonly Row[]): Sliced<Row> {
  const encoder = new TextEncoder()
  const slices: Uint8Array<ArrayBuffer>[] = []
  let some: string[] = []
  let chars = 0
  const cut = () => {
    if (some.length > 0) slices.push(encoder.encode(`[${some.join(',')}]`))
    some = []
    chars = 0
  }
  for (const row of rows) {
    const json = JSON.stringify(row)
    if (chars + json.length > SLICE_CHARS) cut()
    some.push(json)
    chars += json.length
  }
  cut()
  return { slices }
}

/** The rows again; whatever else is waiting gets its turn after each piece. */
export async function rowsIn<Row>({ slices }: Sliced<Row>): Promise<Row[]> {
  const rows: Row[] = []
  for (const slice of slices) {
    rows.push(...(JSON.parse(new TextDecoder().decode(slice)) as Row[]))
    await othersFirst()
  }
  return rows
}

/** The unit that values of a role are kept in. */
export const unitOf = (role: Role) => UNIT_KEPT[quantityOf(role)]
