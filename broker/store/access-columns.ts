/** What is read of a device, times in Unix ms. */
export interface DeviceColumns {
  readonly name: string
  readonly createdAtMs: number
  readonly revokedAtMs: number | null
  readonly removedAtMs: number | null
  readonly offeredUntilMs: number | null
}

/** Hashes of its secrets: the one that counts, and the one that was offered in its place. */
export interface SecretColumns {
  readonly current: string
  readonly offered: string | null
  readonly untilMs: number | null
}
