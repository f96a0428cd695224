import type { DeviceCommand } from '../../firmware-protocol/device-orders.ts'

/** What the web needs of whoever lets devices in and out: it does not know how that is done. All throw RoomError. */
export interface DeviceAdmission {
  /** A code to be typed at the device, good once and for minutes. `fresh` refuses a name that a device has. */
  code(
    device: string,
    how: { readonly fresh: boolean },
  ): Promise<{ device: string; code: string; untilMs: number; pages: readonly string[] }>
  /** What a code stands for; `null` for one that is not good. */
  redeem(code: string): Promise<{ device: string; password: string } | null>
  /** A new password; the one before is good until this one is used, or this one is void. */
  password(device: string): Promise<{ device: string; password: string; untilMs: number }>
  /** It may speak no more. */
  revoke(device: string): Promise<void>
  /** Takes a revoked one off the list; its history stays. */
  remove(device: string): Promise<void>
  command(device: string, command: DeviceCommand): Promise<void>
}
