import { z } from 'zod'
import { DEVICE_NAME } from './topics.ts'

/**
 * The 32 characters of a code: digits and capitals without I, L, O and U, which are taken for others (Crockford, "Base 32", the
 * symbols of its encoding). Eight of them are 40 bits.
 */
export const CODE_ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ'
export const CODE_LENGTH = 8

/** Where a device without settings has its page, in the network that it opens itself. */
export const SETUP_ADDRESS = '192.168.4.1'
/** What that network is called begins so, and is followed by the end of the board's own number. */
export const SETUP_NETWORK = 'brinewatch-'
/** So that what is typed into the page does not go through the air in the clear. Everybody may know it. */
export const SETUP_PASSWORD = 'brinewatch'

/** What a device sends to redeem a code, as JSON: `POST /api/v1/pairing` where the dashboard is. */
export const pairingRequest = z.object({
  /** As it was typed: small letters, blanks and hyphens do not matter. */
  code: z.string().max(40),
})

/** What it gets for it. */
export const pairingAnswer = z.object({
  device: z.string().regex(DEVICE_NAME),
  password: z.string().min(1).max(128),
  /** Where the broker listens, at the same address. */
  mqttPort: z.int().min(1).max(65_535),
})
export type PairingAnswer = z.infer<typeof pairingAnswer>

/** The code that somebody typed, or `null` when it cannot be one. What looks alike is taken for what was meant. */
export function readCode(typed: string): string | null {
  const code = typed.toUpperCase().replace(/[\s-]/g, '').replaceAll('O', '0').replace(/[IL]/g, '1')
  return code.length === CODE_LENGTH && [...code].every(each => CODE_ALPHABET.includes(each)) ? code : null
}

/** As it is shown: in two halves. */
export function showCode(code: string): string {
  return `${code.slice(0, CODE_LENGTH / 2)}-${code.slice(CODE_LENGTH / 2)}`
}

/**
 * The address of the first-run page with the code and the dashboard's address filled in: what the QR code says.
 * @param at where the device finds the dashboard, `host:port`
 */
export function setupPage(code: string, at: string): string {
  return `http://${SETUP_ADDRESS}/?code=${code}&at=${at}`
}
