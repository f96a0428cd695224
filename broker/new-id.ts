import { randomBytes } from 'node:crypto'

/** A short random name for a vessel, a batch or an alarm: 80 bits in lower-case letters and digits. */
export function newId(): string {
  return BigInt(`0x${randomBytes(10).toString('hex')}`)
    .toString(36)
    .padStart(16, '0')
}
