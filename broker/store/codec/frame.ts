import type { ByteWriter } from './bytes.ts'

/**
 * A frame holds the packs of one commit, one after the other, each behind a header of fixed length: whoever looks for one
 * device's packs passes over the others without reading them. Big-endian: speaker and boot (0 for none), 4 bytes each; pack
 * number and receipt, 8 bytes each; length of the readings, 4 bytes.
 */
const HEADER_BYTES = 28
const SEQ_AT = 8
const RECEIVED_AT = 16
const LENGTH_AT = 24
const HIGH = 2 ** 32

/** Writes a pack's header; its readings follow, and then {@link endPack} with what this returned. */
export function beginPack(
  out: ByteWriter,
  speaker: number,
  boot: number | null,
  seq: number | null,
  receivedMs: number,
): number {
  const start = out.length
  const view = out.room(HEADER_BYTES)
  view.setUint32(start, speaker)
  view.setUint32(start + 4, boot ?? 0)
  setUint64(view, start + SEQ_AT, seq ?? 0)
  setUint64(view, start + RECEIVED_AT, receivedMs)
  return start
}

export function endPack(out: ByteWriter, start: number): void {
  out.dataView.setUint32(start + LENGTH_AT, out.length - start - HEADER_BYTES)
}

/** One pack of a frame: where its readings are, and what its header says. */
export interface FramedPack {
  readonly speaker: number
  readonly boot: number | null
  readonly seq: number | null
  readonly receivedMs: number
  readonly readings: Uint8Array
}

/** The packs of a frame, of one speaker or of all. Throws a RangeError where the bytes end too early. */
export function* readFrame(bytes: Uint8Array, speaker: number | null = null): Generator<FramedPack> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  for (let at = 0; at < bytes.length;) {
    const from = at + HEADER_BYTES
    const to = from + view.getUint32(at + LENGTH_AT)
    if (to > bytes.length) throw new RangeError('Cannot read packed bytes: they end too early')
    const said = view.getUint32(at)
    if (speaker === null || speaker === said) {
      const boot = view.getUint32(at + 4)
      yield {
        speaker: said,
        boot: boot === 0 ? null : boot,
        seq: boot === 0 ? null : getUint64(view, at + SEQ_AT),
        receivedMs: getUint64(view, at + RECEIVED_AT),
        readings: bytes.subarray(from, to),
      }
    }
    at = to
  }
}

/** Whole numbers up to 2^53: no BigInt is made. */
function setUint64(view: DataView, at: number, value: number): void {
  view.setUint32(at, Math.floor(value / HIGH))
  view.setUint32(at + 4, value % HIGH)
}

function getUint64(view: DataView, at: number): number {
  return view.getUint32(at) * HIGH + view.getUint32(at + 4)
}
