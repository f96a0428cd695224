import { describe, expect, it } from 'vitest'
import { isPassword, passwordSetAt, setPassword } from '../../broker/password.ts'
import { hashPassword, hashSecret, newSecret, passwordMatches, secretMatches } from '../../broker/secrets.ts'
import { fakeStore } from './fake-store.ts'

describe('a secret for a machine', () => {
  it('is never the same twice, and holds 256 bits', () => {
    const made = new Set(Array.from({ length: 1000 }, newSecret))
    expect(made.size).toBe(1000)
    for (const secret of made) expect(Buffer.from(secret, 'base64url')).toHaveLength(32)
  })

  it('is known by its SHA-256', () => {
    // "abc": FIPS 180-4 example, digest ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad.
    const digest = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'
    expect(hashSecret('abc')).toBe(`sha256:${Buffer.from(digest, 'hex').toString('base64url')}`)
    expect(secretMatches('abc', hashSecret('abc'))).toBe(true)
  })

  it.each(['', 'ab', 'abcd', 'ABC', hashSecret('abc')])('is not matched by %j', other => {
    expect(secretMatches(other, hashSecret('abc'))).toBe(false)
  })

  it.each(['', 'sha256:', 'abc', 'plain:abc'])('is not matched to the hash %j', hash => {
    expect(secretMatches('abc', hash)).toBe(false)
  })
})

describe("a person's password", () => {
  it('matches its own hash only, which is salted and carries its cost', async () => {
    const [one, two] = await Promise.all([hashPassword('brine and air'), hashPassword('brine and air')])
    expect(one).not.toBe(two)
    expect(one).toMatch(/^scrypt\$16384\$8\$5\$[\w-]{22}\$[\w-]{43}$/)
    expect(one).not.toContain('brine')
    expect(await passwordMatches('brine and air', one)).toBe(true)
    expect(await passwordMatches('brine and air', two)).toBe(true)
    expect(await passwordMatches('brine and Air', one)).toBe(false)
    expect(await passwordMatches('', one)).toBe(false)
  })

  it('is derived as RFC 7914 section 12 has it', async () => {
    // scrypt("pleaseletmein", "SodiumChloride", N = 16384, r = 8, p = 1, 64 bytes).
    const key =
      '7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2' +
      'd5432955613f0fcf62d49705242a9af9e61e85dc0d651e40dfcf017b45575887'
    const salt = Buffer.from('SodiumChloride').toString('base64url')
    const encoded = `scrypt$16384$8$1$${salt}$${Buffer.from(key, 'hex').toString('base64url')}`
    expect(await passwordMatches('pleaseletmein', encoded)).toBe(true)
    expect(await passwordMatches('pleaseletmeIn', encoded)).toBe(false)
  })

  it('is the same however its letters were composed', async () => {
    expect(await passwordMatches('Bru\u0308he und Luft', await hashPassword('Br\u00fche und Luft'))).toBe(
      true,
    )
  })

  it.each([
    '',
    'scrypt',
    'scrypt$16384$8$5$salt',
    'scrypt$16384$8$5$$',
    'argon2$16384$8$5$c2FsdA$a2V5',
    'scrypt$16383$8$5$c2FsdA$a2V5',
    'scrypt$x$8$5$c2FsdA$a2V5',
    'scrypt$-16384$8$5$c2FsdA$a2V5',
    'scrypt$1073741824$8$1$c2FsdA$a2V5',
    'scrypt$16384$8$5$c2FsdA$a2V5$more',
  ])('is matched to nothing by the damaged hash %j', async encoded => {
    expect(await passwordMatches('brine and air', encoded)).toBe(false)
  })

  it('is kept as its hash, with when it was set', async () => {
    const store = fakeStore()
    expect(await passwordSetAt(store)).toBeNull()
    expect(await isPassword(store, '')).toBe(false)
    await setPassword(store, 'brine and air', 17)
    expect([...store.documents.values()].join('')).not.toContain('brine and air')
    expect(await passwordSetAt(store)).toBe(17)
    expect(await isPassword(store, 'brine and air')).toBe(true)
  })

  it.each(['', '123456789', 'x'.repeat(257), '🦐'.repeat(9)])(
    'must have 10 to 256 characters: not %j',
    async text => {
      const store = fakeStore()
      await expect(setPassword(store, text, 0)).rejects.toThrow(RangeError)
      expect(await passwordSetAt(store)).toBeNull()
    },
  )

  it.each(['null', '{}', '{"hash":1,"setAtMs":2}'])(
    'says so when its document is damaged: %s',
    async json => {
      const store = fakeStore()
      store.documents.set('password', json)
      await expect(isPassword(store, 'brine and air')).rejects.toThrow(/password set/)
    },
  )
})
