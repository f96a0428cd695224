import { ByteReader, type ByteWriter } from './bytes.ts'
import { isMissing } from './mark.ts'

/** Appends one reading to a journal row's body; its time is held relative to the pack's receipt. */
export function writeReading(
  out: ByteWriter,
  channel: number,
  sinceReceivedMs: number,
  mark: number,
  value: number,
): void {
  out.varint(channel)
  out.zigzag(sinceReceivedMs)
  out.byte(mark)
  if (!isMissing(mark)) out.double(value)
}

/** Calls `each` for the readings of a journal row, in their order. A missing value is NaN. */
export function readPack(
  body: Uint8Array,
  receivedMs: number,
  each: (channel: number, at: number, value: number, mark: number) => void,
): void {
  const from = new ByteReader(body)
  while (!from.atEnd) {
    const channel = from.varint()
    const at = receivedMs + from.zigzag()
    const mark = from.byte()
    each(channel, at, isMissing(mark) ? NaN : from.double(), mark)
  }
}
