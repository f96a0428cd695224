import { hashCode, newCode as randomCode, type NewCode } from '../pairing-code.ts'
import { RoomError, RoomErrorKind } from '../room/contract.ts'
import { hashSecret, newSecret as randomSecret, type NewSecret } from '../secrets.ts'
import type { Store } from '../store/contract.ts'

/** How long a code is good. Own choice: to walk to the vessel, join its network and type. */
export const CODE_MS = 10 * 60_000
/** Codes that are good at once: each more is one more that a guess may hit. */
export const MOST_CODES = 16
/** How long a new password waits to be used in place of the one before; then it is void, and the one before stays. */
export const OFFER_MS = 24 * 3_600_000

const KIND = 'pairing'

export interface PairingCode {
  readonly device: string
  readonly code: string
  readonly untilMs: number
}

export interface Credential {
  readonly device: string
  readonly password: string
  /** Until when the password before it is good too, unless this one is used earlier. */
  readonly untilMs: number
}

type PairingStore = Pick<Store, 'records' | 'keepRecord' | 'dropRecord' | 'offerDeviceSecret'>

/** A new code for a device that may speak; an earlier one of its is void. Only a hash is kept. @throws RoomError */
export async function makeCode(
  store: PairingStore,
  device: string,
  nowMs: number,
  newCode: NewCode = randomCode,
): Promise<PairingCode> {
  const rows = await store.records(KIND)
  const isVoid = (row: (typeof rows)[number]) => isOver(row, nowMs) || deviceOf(row) === device
  for (const row of rows.filter(isVoid)) await store.dropRecord(row)
  if (rows.filter(row => !isVoid(row)).length >= MOST_CODES)
    throw new RoomError(
      RoomErrorKind.conflict,
      `Cannot make a code: ${MOST_CODES} wait to be used already; they are good for ten minutes`,
    )
  const code = newCode()
  const untilMs = nowMs + CODE_MS
  await store.keepRecord({
    kind: KIND,
    id: await hashCode(code),
    createdAtMs: nowMs,
    changedAtMs: nowMs,
    endedAtMs: untilMs,
    json: JSON.stringify({ device }),
  })
  return { device, code, untilMs }
}

/**
 * What a code stands for, which it does once: a new password of its device. `null` for a code that is not good, or no more.
 * To be called one at a time.
 */
export async function redeemCode(
  store: PairingStore,
  code: string,
  nowMs: number,
  newSecret: NewSecret = randomSecret,
): Promise<Credential | null> {
  const id = await hashCode(code)
  const row = (await store.records(KIND)).find(each => each.id === id)
  if (!row) return null
  // First, so that nothing that fails afterwards lets it be used twice.
  await store.dropRecord(row)
  return isOver(row, nowMs) ? null : offerPassword(store, deviceOf(row), nowMs, newSecret)
}

/** Makes a password beside the present one, which is good until this one is used. `null` when the device may not speak. */
export async function offerPassword(
  store: Pick<Store, 'offerDeviceSecret'>,
  device: string,
  nowMs: number,
  newSecret: NewSecret = randomSecret,
): Promise<Credential | null> {
  const password = newSecret()
  const untilMs = nowMs + OFFER_MS
  const offered = await store.offerDeviceSecret?.({ name: device, secretHash: hashSecret(password), untilMs })
  return offered === true ? { device, password, untilMs } : null
}

/** The codes of a device are good no more. */
export async function voidCodes(store: PairingStore, device: string): Promise<void> {
  for (const row of await store.records(KIND)) if (deviceOf(row) === device) await store.dropRecord(row)
}

const isOver = (row: { endedAtMs: number | null }, nowMs: number): boolean => nowMs >= (row.endedAtMs ?? 0)

const deviceOf = ({ json }: { json: string }): string => (JSON.parse(json) as { device: string }).device
