import { createHash, randomBytes, scrypt, timingSafeEqual } from 'node:crypto'

/** Makes a new secret. Injected where tests need to know it. */
export type NewSecret = () => string

/**
 * A new secret for a machine to keep: 256 random bits as 43 characters of base64url. Device passwords, bearer tokens
 * and sessions are such secrets.
 */
export function newSecret(): string {
  return randomBytes(32).toString('base64url')
}

/**
 * What is stored of a secret from {@link newSecret}. One SHA-256 is enough, and no salt is needed, because nobody can
 * guess 256 random bits however fast the hash is; a slow hash would only make every device's connection slow. A
 * password that a person chose needs {@link hashPassword}.
 */
export function hashSecret(secret: string): string {
  return `sha256:${createHash('sha256').update(secret, 'utf8').digest('base64url')}`
}

/** Whether `secret` is the one that `hash` was made from. Takes the same time wherever they differ. */
export function secretMatches(secret: string, hash: string): boolean {
  return sameBytes(Buffer.from(hashSecret(secret)), Buffer.from(hash))
}

/**
 * Cost of a password's hash: 16 MiB and five passes, one of the equivalent settings in the OWASP Password Storage Cheat
 * Sheet (N = 2^14, r = 8, p = 5), chosen for its small memory: the service also runs on small boards.
 */
const COST = { N: 2 ** 14, r: 8, p: 5 } as const
const MAX_MEMORY_BYTES = 64 * 1024 * 1024
const KEY_BYTES = 32

/** Hashes a person's password with a fresh salt, as `scrypt$N$r$p$salt$key`; the cost travels with the hash. */
export async function hashPassword(password: string): Promise<string> {
  const salt = randomBytes(16)
  const key = await derive(password, salt, COST, KEY_BYTES)
  return ['scrypt', COST.N, COST.r, COST.p, salt.toString('base64url'), key.toString('base64url')].join('$')
}

/** Whether `password` is the one that `encoded` was made from. False, not an error, when `encoded` cannot be read. */
export async function passwordMatches(password: string, encoded: string): Promise<boolean> {
  const [kind, N, r, p, salt, key, ...rest] = encoded.split('$')
  if (kind !== 'scrypt' || !salt || !key || rest.length > 0) return false
  const cost = { N: Number(N), r: Number(r), p: Number(p) }
  if (128 * cost.N * cost.r > MAX_MEMORY_BYTES) return false
  const expected = Buffer.from(key, 'base64url')
  try {
    return sameBytes(await derive(password, Buffer.from(salt, 'base64url'), cost, expected.length), expected)
  } catch {
    return false // scrypt refuses the parameters: the document is damaged
  }
}

function derive(
  password: string,
  salt: Buffer,
  cost: { N: number; r: number; p: number },
  bytes: number,
): Promise<Buffer> {
  // The same letters can reach us composed or decomposed, depending on the keyboard (RFC 8265 section 4.2.1 asks for NFC).
  const normal = password.normalize('NFC')
  return new Promise((resolve, reject) => {
    scrypt(normal, salt, bytes, { ...cost, maxmem: MAX_MEMORY_BYTES }, (error, key) =>
      error ? reject(error) : resolve(key),
    )
  })
}

function sameBytes(a: Buffer, b: Buffer): boolean {
  return a.length > 0 && a.length === b.length && timingSafeEqual(a, b)
}
