import { generate } from 'selfsigned'
import { isIP } from 'node:net'

const DAY_MS = 86_400_000
/** Put on phones and boards by hand, so it must outlive them. */
const AUTHORITY_DAYS = 20 * 365
/** Browsers refuse certificates that were made for longer (CA/Browser Forum, Baseline Requirements 1.6.9 of 2020, 6.3.2: 398 days). */
const CERTIFICATE_DAYS = 397
/** Clocks of boards and phones run late. */
const LEEWAY_MS = DAY_MS

/** A certificate and its key, PEM. */
export interface Pair {
  readonly cert: string
  readonly key: string
}

/** Makes an authority for one household: whoever trusts it trusts what {@link makeCertificate} makes with it. ECDSA P-256. */
export async function makeAuthority(name: string, nowMs: number): Promise<Pair> {
  const made = await generate([{ name: 'commonName', value: name }], {
    ...usual,
    notBeforeDate: new Date(nowMs - LEEWAY_MS),
    notAfterDate: new Date(nowMs + AUTHORITY_DAYS * DAY_MS),
    extensions: [
      { name: 'basicConstraints', cA: true, pathLenConstraint: 0, critical: true },
      { name: 'keyUsage', keyCertSign: true, cRLSign: true, critical: true },
    ],
  })
  return { cert: made.cert, key: made.private }
}

/** Makes a server's certificate for host names and IP addresses, signed by the authority. */
export async function makeCertificate(
  authority: Pair,
  hosts: readonly string[],
  nowMs: number,
): Promise<Pair> {
  const made = await generate([{ name: 'commonName', value: hosts[0] ?? 'brinewatch' }], {
    ...usual,
    notBeforeDate: new Date(nowMs - LEEWAY_MS),
    notAfterDate: new Date(nowMs - LEEWAY_MS + CERTIFICATE_DAYS * DAY_MS),
    ca: authority,
    extensions: [
      { name: 'basicConstraints', cA: false, critical: true },
      { name: 'keyUsage', digitalSignature: true, critical: true },
      { name: 'extKeyUsage', serverAuth: true },
      {
        name: 'subjectAltName',
        altNames: hosts.map(host =>
          isIP(host) === 0 ? { type: 2 as const, value: host } : { type: 7 as const, ip: host },
        ),
      },
    ],
  })
  return { cert: made.cert, key: made.private }
}

const usual = { keyType: 'ec', curve: 'P-256', algorithm: 'sha256' } as const
