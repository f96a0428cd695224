import { X509Certificate, createPrivateKey } from 'node:crypto'
import { mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { connect, createServer, type TLSSocket } from 'node:tls'
import type { AddressInfo } from 'node:net'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Certificates } from '../../broker/tls/certificates.ts'
import { makeAuthority, makeCertificate } from '../../broker/tls/make.ts'

const DAY_MS = 86_400_000
const HOSTS = ['localhost', '127.0.0.1', '::1', 'fishroom.local', '192.168.1.20']

describe('the certificates of a folder', () => {
  let dir: string
  let nowMs: number
  let hosts: string[]
  beforeEach(() => {
    dir = mkdtempSync(join(tmpdir(), 'brinewatch-tls-'))
    nowMs = Date.now()
    hosts = HOSTS
  })
  afterEach(() => rmSync(dir, { recursive: true, force: true }))
  const open = () => Certificates.open({ dir, clock: () => nowMs, hosts: () => hosts })
  const leaf = (made: Certificates) => new X509Certificate(made.pair.cert)

  it('are made at the first run, for every name, and are the same at the next', async () => {
    const made = await open()
    for (const host of HOSTS)
      expect(leaf(made).checkHost(host) ?? leaf(made).checkIP(host), host).toBeDefined()
    expect(leaf(made).ca).toBe(false)
    expect(new X509Certificate(made.authority!).ca).toBe(true)
    expect(made.fingerprint).toMatch(/^([0-9A-F]{2}:){31}[0-9A-F]{2}$/)
    for (const file of ['made-key.pem', 'made-authority-key.pem'])
      expect(statSync(join(dir, file)).mode & 0o077, file).toBe(0)
    const again = await open()
    expect(again.pair).toEqual(made.pair)
  })

  it('satisfy a TLS client that trusts the authority alone, and no other', async () => {
    const made = await open()
    const server = createServer(made.pair, socket => socket.end('hello'))
    await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
    const { port } = server.address() as AddressInfo
    const meet = (ca: string | undefined, servername: string) =>
      new Promise<string>(resolve => {
        const socket: TLSSocket = connect(
          { host: '127.0.0.1', port, servername, ...(ca !== undefined && { ca }) },
          () => {
            resolve('trusted')
            socket.destroy()
          },
        )
        socket.on('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? error.message))
      })
    expect(await meet(made.authority!, 'localhost')).toBe('trusted')
    expect(await meet(made.authority!, 'fishroom.local')).toBe('trusted')
    expect(await meet(made.authority!, 'elsewhere.example')).toBe('ERR_TLS_CERT_ALTNAME_INVALID')
    expect(await meet(undefined, 'localhost')).toBe('SELF_SIGNED_CERT_IN_CHAIN')
    server.close()
  })

  it('are made anew by the same authority before they run out, and when an address is new', async () => {
    const made = await open()
    const seen: string[] = []
    made.onChange(pair => seen.push(pair.cert))
    nowMs += 2 * 3_600_000
    await made.look()
    expect(seen).toEqual([])
    nowMs += 370 * DAY_MS
    await made.look()
    expect(seen).toHaveLength(1)
    expect(Date.parse(leaf(made).validTo) - nowMs).toBeGreaterThan(390 * DAY_MS)
    hosts = [...HOSTS, '10.0.0.7']
    nowMs += 2 * 3_600_000
    await made.look()
    expect(seen).toHaveLength(2)
    expect(leaf(made).checkIP('10.0.0.7')).toBeDefined()
    expect(leaf(made).checkIssued(new X509Certificate(made.authority!))).toBe(true)
    // Browsers refuse what was made for longer: CA/Browser Forum, Baseline Requirements, 6.3.2.
    expect(Date.parse(leaf(made).validTo) - Date.parse(leaf(made).validFrom)).toBeLessThanOrEqual(
      398 * DAY_MS,
    )
  })

  it('of the owner come before made ones, and are read anew when they change', async () => {
    await open()
    const authority = await makeAuthority('of the owner', nowMs)
    const own = await makeCertificate(authority, ['hatch.example'], nowMs)
    writeFileSync(join(dir, 'cert.pem'), own.cert)
    writeFileSync(join(dir, 'key.pem'), own.key)
    const opened = await open()
    expect(opened.pair).toEqual(own)
    expect(opened.authority).toBeNull()
    const next = await makeCertificate(authority, ['hatch.example'], nowMs + DAY_MS)
    writeFileSync(join(dir, 'cert.pem'), next.cert)
    nowMs += 2 * 3_600_000
    await opened.look()
    // Half a change is no change.
    expect(opened.failure).toContain('must be the key of cert.pem')
    expect(opened.pair).toEqual(own)
    writeFileSync(join(dir, 'key.pem'), next.key)
    nowMs += 2 * 3_600_000
    await opened.look()
    expect(opened.failure).toBeNull()
    expect(opened.pair).toEqual(next)
  })

  it('that cannot be used say why', async () => {
    const authority = await makeAuthority('of the owner', nowMs)
    const own = await makeCertificate(authority, ['hatch.example'], nowMs)
    writeFileSync(join(dir, 'cert.pem'), own.cert)
    await expect(open()).rejects.toThrow(/must hold both cert.pem and key.pem/)
    writeFileSync(join(dir, 'key.pem'), authority.key)
    await expect(open()).rejects.toThrow(/must be the key of cert.pem/)
    writeFileSync(join(dir, 'key.pem'), 'not a key')
    await expect(open()).rejects.toThrow(/must be PEM/)
    writeFileSync(join(dir, 'key.pem'), own.key)
    nowMs += 500 * DAY_MS
    await expect(open()).rejects.toThrow(/ran out/)
  })

  it('that were made and are damaged are made anew, and a copy of one is put right', async () => {
    const made = await open()
    const cert = readFileSync(join(dir, 'made-cert.pem'), 'utf8')
    writeFileSync(join(dir, 'made-cert.pem'), 'x')
    expect((await open()).pair).toEqual(made.pair)
    expect(readFileSync(join(dir, 'made-cert.pem'), 'utf8')).toBe(cert)
    writeFileSync(join(dir, 'made-key.pem'), 'x')
    const again = await open()
    expect(again.authority).toBe(made.authority)
    expect(again.pair.cert).not.toBe(made.pair.cert)
    expect(readFileSync(join(dir, 'made-cert.pem'), 'utf8')).toContain('BEGIN CERTIFICATE')
  })

  it('of several programs that start at once in one folder are made by one authority', async () => {
    const all = await Promise.all(Array.from({ length: 8 }, open))
    expect(new Set(all.map(each => each.authority)).size).toBe(1)
    const authority = new X509Certificate(all[0]!.authority!)
    for (const each of all) {
      expect(leaf(each).verify(authority.publicKey)).toBe(true)
      expect(leaf(each).checkPrivateKey(createPrivateKey(each.pair.key))).toBe(true)
      expect(each.pair.cert).toContain(each.authority!.trim())
    }
    expect((await open()).authority).toBe(all[0]!.authority)
    // Nothing is left of those that came second.
    expect(readdirSync(dir).sort()).toEqual([
      'made-authority-key.pem',
      'made-authority.pem',
      'made-cert.pem',
      'made-key.pem',
    ])
  })

  it('whose authority was half written is made anew, and one of two files as before is kept', async () => {
    const authority = await makeAuthority('as it was written at first', nowMs)
    writeFileSync(join(dir, 'made-authority-key.pem'), authority.key)
    const fresh = await open()
    expect(fresh.authority).toContain('BEGIN CERTIFICATE')
    expect(fresh.authority).not.toContain('PRIVATE')
    writeFileSync(join(dir, 'made-authority-key.pem'), authority.key)
    writeFileSync(join(dir, 'made-authority.pem'), authority.cert)
    const opened = await open()
    expect(opened.authority).toBe(authority.cert)
    expect(leaf(opened).verify(new X509Certificate(authority.cert).publicKey)).toBe(true)
  })

  it('whose authority is damaged say so, and make no other in silence', async () => {
    const made = await open()
    const key = readFileSync(join(dir, 'made-authority-key.pem'), 'utf8')
    writeFileSync(join(dir, 'made-authority-key.pem'), key.replace(/[A-Za-z]{8}/g, 'AAAAAAAA'))
    await expect(open()).rejects.toThrow(
      /made-authority-key\.pem and made-authority\.pem .* are damaged; put them back/,
    )
    writeFileSync(join(dir, 'made-authority-key.pem'), key)
    expect((await open()).pair).toEqual(made.pair)
  })
})
