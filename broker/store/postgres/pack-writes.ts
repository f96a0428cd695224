import type { PlacedPack } from '../../intake/reading.ts'
import { ByteWriter } from '../codec/bytes.ts'
import { writeReading } from '../codec/pack-body.ts'
import { checkedMark } from '../checks.ts'
import { channelKey, type Names, type Resolved } from './names.ts'
import { numbers, type Sql } from './sql.ts'

/** What is written of one pack. */
interface Row {
  readonly speaker: number
  readonly boot: number | null
  readonly seq: number | null
  readonly receivedMs: number
  readonly fromMs: number
  readonly toMs: number
  readonly at: number
  readonly length: number
}

/**
 * One statement for all packs of a group. A number that is in a chunk already, or in a pack, is not kept again, whoever kept it: the
 * caller holds the lock that packing takes alone, so that none is on its way from one place to the other.
 */
const INSERT = `INSERT INTO pack (speaker, boot, seq, received_ms, from_ms, to_ms, body)
  SELECT x.speaker, x.boot, x.seq, x.received_ms, x.from_ms, x.to_ms, substring($1::bytea FROM x.at + 1 FOR x.length)
  FROM unnest($2::integer[], $3::integer[], $4::bigint[], $5::bigint[], $6::bigint[], $7::bigint[], $8::integer[], $9::integer[])
    WITH ORDINALITY AS x (speaker, boot, seq, received_ms, from_ms, to_ms, at, length, n)
  LEFT JOIN boot ON boot.id = x.boot
  WHERE boot.id IS NULL OR NOT boot.sealed @> x.seq
  ORDER BY x.n
  ON CONFLICT (boot, seq) WHERE boot IS NOT NULL DO NOTHING`

/** Writes the packs, and answers what it had to learn for it. */
export async function writePacks(sql: Sql, names: Names, packs: readonly PlacedPack[]): Promise<Resolved> {
  const resolved = await names.resolve(sql, packs)
  const body = new ByteWriter()
  const rows = packs.map(pack => encode(body, resolved, pack))
  // In one order everywhere: two processes that got the same repeats must not wait for each other. The order of one power-up stays.
  rows.sort((a, b) => (a.boot ?? 0) - (b.boot ?? 0) || (a.seq ?? 0) - (b.seq ?? 0))
  await sql.rows(INSERT, [
    body.view(),
    numbers(rows.map(row => row.speaker)),
    numbers(rows.map(row => row.boot)),
    numbers(rows.map(row => row.seq)),
    numbers(rows.map(row => row.receivedMs)),
    numbers(rows.map(row => row.fromMs)),
    numbers(rows.map(row => row.toMs)),
    numbers(rows.map(row => row.at)),
    numbers(rows.map(row => row.length)),
  ])
  return resolved
}

function encode(body: ByteWriter, resolved: Resolved, pack: PlacedPack): Row {
  const { device, receivedAtMs } = pack
  const at = body.length
  let fromMs = Infinity
  let toMs = -Infinity
  for (const reading of pack.readings) {
    const channel = resolved.channel(device, channelKey(reading.channel, reading.unit))
    // One too many: the device's other channels are kept.
    if (channel === undefined) continue
    writeReading(body, channel, reading.atMs - receivedAtMs, checkedMark(reading), reading.value ?? NaN)
    fromMs = Math.min(fromMs, reading.atMs)
    toMs = Math.max(toMs, reading.atMs)
  }
  const isEmpty = fromMs === Infinity
  const numbered = pack.boot !== null && pack.seq !== null
  return {
    speaker: resolved.speaker(device)!,
    boot: numbered ? resolved.boot(device, pack.boot)! : null,
    seq: numbered ? pack.seq : null,
    receivedMs: receivedAtMs,
    fromMs: isEmpty ? receivedAtMs : fromMs,
    toMs: isEmpty ? receivedAtMs : toMs,
    at,
    length: body.length - at,
  }
}
