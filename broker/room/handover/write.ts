import { promisify } from 'node:util'
import { gzip } from 'node:zlib'
import { packedColumns } from './columns.ts'
import { HandoverError, Refusal } from './errors.ts'
import { FORMAT, FORMAT_VERSION, HandedOver } from './format.ts'
import {
  gather,
  type Gathered,
  type GatheredChannel,
  type HandoverStore,
  type WriteOptions,
} from './gather.ts'
import { withoutNames } from './names.ts'
import { unitOf } from './unpacked.ts'

/** All that is known of a batch, as one document. */
export async function handOver(
  store: HandoverStore,
  batchId: string,
  options: WriteOptions,
): Promise<HandedOver> {
  return written(await gather(store, batchId, options))
}

/** The document of what was gathered. Of 36 h at a reading a second it takes a second: see `thread-desk.ts`. */
export function written(gathered: Gathered): HandedOver {
  const { nowMs, program, names, batch, channels, events, watch, ...rest } = gathered
  const file = {
    format: FORMAT,
    version: FORMAT_VERSION,
    written: { at: new Date(nowMs).toISOString(), by: program, names },
    batch: withoutVessel(batch),
    ...rest,
    channels: channels.map(channelOf),
    events: events.map(({ batchId: _, kind, json, ...row }) => ({
      ...row,
      said: { kind, ...(JSON.parse(json) as object) },
    })),
    watch: watch.map(({ json, ...row }) => ({ ...row, line: JSON.parse(json) as unknown })),
  }
  // Read as the other side will read it: what could not be brought in is not written out.
  const { data, error } = HandedOver.safeParse(file)
  if (!data) {
    const [first] = error.issues
    const rule = `${first?.path.join('.') ?? ''}: ${first?.message ?? ''}`
    throw new HandoverError(Refusal.malformed, `Cannot write the batch out: ${rule}`)
  }
  return names ? data : withoutNames(data)
}

/** The file is of one alone. */
const withoutVessel = <T extends { readonly vesselId: string }>({ vesselId: _, ...rest }: T) => rest

function channelOf({ row, fromMs, columns }: GatheredChannel) {
  const { id: assignmentId, ...rest } = withoutVessel(row)
  return { ...rest, assignmentId, unit: unitOf(row.role), readings: packedColumns(row.role, columns, fromMs) }
}

const zip = promisify(gzip)

/** The document as the bytes of a file. */
export async function bytesOf(file: HandedOver): Promise<Uint8Array<ArrayBuffer>> {
  return new Uint8Array(await zip(JSON.stringify(file)))
}

/** What a file is called: by its vessel and its day, in letters that every file system takes. */
export function fileName({ vessel, batch }: Pick<HandedOver, 'vessel' | 'batch'>): string {
  const name = vessel.name
    .normalize('NFKD')
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .toLowerCase()
  return `${name || 'batch'}-${new Date(batch.startedAtMs).toISOString().slice(0, 10)}.batch.json.gz`
}
