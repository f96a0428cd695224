import { X509Certificate, createPrivateKey } from 'node:crypto'
import { existsSync, mkdirSync } from 'node:fs'
import { join } from 'node:path'
import type { Clock } from '../clock.ts'
import { makeAuthority, makeCertificate, type Pair } from './make.ts'
import { keepFirst, mendCopy, readMade, readPair, replaceMade } from './pair-files.ts'

const DAY_MS = 86_400_000
/** A made certificate is made anew when it has less left. */
const RENEW_MS = 30 * DAY_MS
const LOOK_EVERY_MS = 3_600_000

const OWN = { cert: 'cert.pem', key: 'key.pem' } as const
const MADE = { cert: 'made-cert.pem', key: 'made-key.pem' } as const
/** Its certificate is what phones and boards are to trust. */
const AUTHORITY = { cert: 'made-authority.pem', key: 'made-authority-key.pem' } as const

/** The certificate in a folder cannot be used. */
export class CertificateError extends Error {
  override readonly name = 'CertificateError'
}

export interface CertificatesParts {
  readonly dir: string
  readonly clock: Clock
  /** The names and addresses by which this machine is reached. */
  readonly hosts: () => readonly string[]
}

/**
 * What the pages and the link are encrypted with: `cert.pem` and `key.pem` of a folder, where the owner puts their own; else an
 * authority and a certificate that are made there, the certificate anew when it runs out or the machine gets another address.
 */
export class Certificates {
  readonly #parts: CertificatesParts
  readonly #listeners = new Set<(pair: Pair) => void>()
  #pair: Pair
  #lookedAtMs: number
  #failure: string | null = null

  private constructor(parts: CertificatesParts, pair: Pair) {
    this.#parts = parts
    this.#pair = pair
    this.#lookedAtMs = parts.clock()
  }

  /** @throws CertificateError that says what is wrong with the files. */
  static async open(parts: CertificatesParts): Promise<Certificates> {
    mkdirSync(parts.dir, { recursive: true, mode: 0o700 })
    return new Certificates(parts, await pairIn(parts))
  }

  /** The certificate, with those that vouch for it behind it, and its key. */
  get pair(): Pair {
    return this.#pair
  }

  /** What a phone or a board is to trust; `null` where the owner brought a certificate of their own. */
  get authority(): string | null {
    return isOwn(this.#parts.dir) ? null : (readMade(this.#parts.dir, AUTHORITY)?.cert ?? null)
  }

  /** SHA-256 over the authority, or over the owner's certificate, for people to compare. */
  get fingerprint(): string {
    return new X509Certificate(this.authority ?? this.#pair.cert).fingerprint256
  }

  /** Why the certificate that lies in the folder could not take the place of the one in use; `null` when it could. */
  get failure(): string | null {
    return this.#failure
  }

  /** Called with each certificate that takes the place of the one before. */
  onChange(listener: (pair: Pair) => void): void {
    this.#listeners.add(listener)
  }

  /**
   * To be called now and then: looks once an hour whether the files changed or time ran out. What cannot be used leaves the
   * certificate in use that was, see {@link failure}.
   */
  async look(): Promise<void> {
    const nowMs = this.#parts.clock()
    if (Math.abs(nowMs - this.#lookedAtMs) < LOOK_EVERY_MS) return
    this.#lookedAtMs = nowMs
    try {
      const pair = await pairIn(this.#parts)
      this.#failure = null
      if (pair.cert === this.#pair.cert) return
      this.#pair = pair
      for (const listener of this.#listeners) listener(pair)
    } catch (error) {
      this.#failure = error instanceof Error ? error.message : String(error)
    }
  }
}

async function pairIn({ dir, clock, hosts }: CertificatesParts): Promise<Pair> {
  const nowMs = clock()
  if (isOwn(dir)) return checked(dir, OWN, nowMs)
  const authority = readMade(dir, AUTHORITY) ?? keepFirst(dir, AUTHORITY, await ownAuthority(nowMs))
  refuseDamaged(dir, authority)
  const wanted = hosts()
  const made = readMade(dir, MADE)
  const pair = isGood(made, authority, wanted, nowMs)
    ? made
    : replaceMade(dir, MADE, await makeCertificate(authority, wanted, nowMs))
  mendCopy(dir, AUTHORITY, authority)
  mendCopy(dir, MADE, pair)
  return { cert: `${pair.cert.trimEnd()}\n${authority.cert.trimEnd()}\n`, key: pair.key }
}

const ownAuthority = (nowMs: number): Promise<Pair> =>
  makeAuthority(`brinewatch of this household, ${new Date(nowMs).toISOString().slice(0, 10)}`, nowMs)

/** Phones and boards trust it, so it is never made anew in silence. */
function refuseDamaged(dir: string, { cert, key }: Pair): void {
  try {
    if (new X509Certificate(cert).checkPrivateKey(createPrivateKey(key))) return
  } catch {
    // Told below.
  }
  throw new CertificateError(
    `Cannot encrypt: ${AUTHORITY.key} and ${AUTHORITY.cert} in ${dir} are damaged; put them back from a copy of that folder, ` +
      'or remove both, and all that trusts the authority must trust a new one',
  )
}

/** One of the two is enough: then the other one was forgotten, and nothing is to be made instead. */
function isOwn(dir: string): boolean {
  return existsSync(join(dir, OWN.cert)) || existsSync(join(dir, OWN.key))
}

function checked(dir: string, names: typeof OWN, nowMs: number): Pair {
  const pair = readPair(dir, names)
  if (pair === null)
    throw new CertificateError(`Cannot encrypt: ${dir} must hold both ${names.cert} and ${names.key}`)
  let certificate: X509Certificate
  let matches: boolean
  try {
    certificate = new X509Certificate(pair.cert)
    matches = certificate.checkPrivateKey(createPrivateKey(pair.key))
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error)
    throw new CertificateError(
      `Cannot encrypt: ${names.cert} and ${names.key} in ${dir} must be PEM, the key without a passphrase (${why})`,
    )
  }
  if (!matches)
    throw new CertificateError(`Cannot encrypt: ${names.key} in ${dir} must be the key of ${names.cert}`)
  if (Date.parse(certificate.validTo) <= nowMs)
    throw new CertificateError(
      `Cannot encrypt: ${names.cert} in ${dir} must be valid still, it ran out on ${certificate.validTo}; renew it`,
    )
  return pair
}

function isGood(pair: Pair | null, authority: Pair, hosts: readonly string[], nowMs: number): pair is Pair {
  if (pair === null) return false
  try {
    const certificate = new X509Certificate(pair.cert)
    return (
      Date.parse(certificate.validTo) - nowMs > RENEW_MS &&
      certificate.checkIssued(new X509Certificate(authority.cert)) &&
      certificate.checkPrivateKey(createPrivateKey(pair.key)) &&
      hosts.every(
        host => certificate.checkHost(host) !== undefined || certificate.checkIP(host) !== undefined,
      )
    )
  } catch {
    return false
  }
}
