import type { DeviceReport, PlacedPack, QuarantineEntry } from './reading.ts'

/** Told once, when the thing given is on disk (`null`) or could not be kept (the error). */
export type Kept = (error: Error | null) => void

/**
 * Where intake pours what it has read. Intake knows nothing of what stands behind it: `start` wires it to the room
 * and the store. Calls are synchronous and must not throw.
 */
export interface Outlet {
  /** A pack that was not seen before. Judges it at once, then keeps it; `kept` is called after the commit. */
  pack(pack: PlacedPack, kept: Kept): void
  /** A message or record that could not be read; `kept` as above. */
  quarantine(entry: QuarantineEntry, kept: Kept): void
  /** Calls `kept` once everything poured before it is on disk: what a repeat waits for. */
  settled(kept: Kept): void
  /** The device came, went, or described itself. Not durable. */
  report(report: DeviceReport): void
}

/** What intake needs to know of devices: who may speak, and which packs are on disk already. */
export interface DeviceRegistry {
  /** Whether this password is this device's. Resolves false for an unknown or a revoked device. */
  verify(device: string, password: string): Promise<boolean>
  /** The pack numbers on disk for one power-up of a device, as closed ranges in rising order. */
  seen(device: string, boot: string): readonly (readonly [from: number, to: number])[]
  /**
   * The topic filters of a bridge, if this is its name and password: credentials for somebody else's sensors, or for another broker that
   * hands their messages on. Without it there are none.
   */
  bridge?(name: string, password: string): Promise<readonly string[] | undefined>
  /** The channels that the device has on disk. */
  channels(device: string): readonly { readonly name: string; readonly unit: string }[]
}
