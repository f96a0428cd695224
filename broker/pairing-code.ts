import { randomInt, scrypt } from 'node:crypto'
import { CODE_ALPHABET, CODE_LENGTH } from '../firmware-protocol/pairing.ts'

/** Makes a new code. Injected where tests need to know it. */
export type NewCode = () => string

/** A new code for a person to carry to a device: 40 random bits. */
export function newCode(): string {
  return Array.from({ length: CODE_LENGTH }, () => CODE_ALPHABET[randomInt(CODE_ALPHABET.length)]).join('')
}

/**
 * What is stored of a code, to be found by. A code is short, so the hash is slow: 2^40 codes at a twentieth of a second each are
 * 1,700 years of a processor, and a code lives ten minutes. The salt is one for all, so that a code can be looked up by its hash.
 */
export function hashCode(code: string): Promise<string> {
  return new Promise((resolve, reject) => {
    scrypt(code, 'brinewatch pairing code', 32, { N: 2 ** 14, r: 8, p: 1 }, (error, key) =>
      error ? reject(error) : resolve(`scrypt:${key.toString('base64url')}`),
    )
  })
}
