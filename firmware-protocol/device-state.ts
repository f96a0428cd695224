import { z } from 'zod'

/**
 * What a device says of itself on its `state` topic: JSON, QoS 1, retained. Sent on connecting and at most once a minute.
 */
export const deviceState = z.object({
  online: z.boolean(),
  /** Name and version of what runs on the device. */
  firmware: z.string().min(1).max(64).optional(),
  /** Radio signal strength. */
  rssiDbm: z.number().min(-200).max(50).optional(),
  /** Seconds since power-up. */
  uptimeS: z.number().nonnegative().optional(),
  /** Readings that wait in the device's outbox. */
  backlog: z.int().nonnegative().optional(),
  /** Readings that the full outbox had to drop: since power-up, or longer where the device remembers. */
  dropped: z.int().nonnegative().optional(),
  /** Why it started: `power-on`, `watchdog`, `brown-out`, `software` or whatever the board tells. */
  resetReason: z.string().min(1).max(64).optional(),
  /** The `revision` of the config by which it measures; 0 while it has heard of none. */
  configRevision: z.int().nonnegative().optional(),
  /** What its clock says, Unix ms; left out by a device that has none. From it the broker tells how wrong that clock is. */
  atMs: z.int().positive().optional(),
  /** Free memory, bytes. */
  freeBytes: z.int().nonnegative().optional(),
})
export type DeviceState = z.infer<typeof deviceState>

/** The last will that a device leaves with the broker on connecting, retained. */
export const LAST_WILL = '{"online":false}'

/** The longest state payload, bytes. */
export const MAX_STATE_BYTES = 4096
