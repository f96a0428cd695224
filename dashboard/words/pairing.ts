import type { Device } from '../../broker/web/api/devices.ts'

/** How far a device has come with a code. Once known it stays known: a later state may no longer tell it. */
export interface Pairing {
  /** When the code was redeemed, Unix ms. */
  readonly redeemedMs: number | null
  /** When the first reading came that was sent with the new password, Unix ms. */
  readonly readingMs: number | null
}

export const NOT_YET: Pairing = { redeemedMs: null, readingMs: null }

/**
 * What is known of a code that was made at `madeMs`, from what was known and how its device is now. A device that sends and
 * leaves counts as one that stays. Readings while the new password waits come from whoever has the one before.
 */
export function pairing(before: Pairing, device: Device | undefined, madeMs: number): Pairing {
  if (!device || device.revokedAt !== null) return before
  const pairedMs = device.pairedAt === null ? null : Date.parse(device.pairedAt)
  const redeemedMs = before.redeemedMs ?? (pairedMs !== null && pairedMs >= madeMs ? pairedMs : null)
  if (redeemedMs === null || before.readingMs !== null || device.newPasswordUntil !== null)
    return redeemedMs === before.redeemedMs ? before : { ...before, redeemedMs }
  const times = device.channels.map(({ latest }) => Date.parse(latest.at)).filter(atMs => atMs >= redeemedMs)
  return { redeemedMs, readingMs: times.length === 0 ? null : Math.min(...times) }
}
