import { RateLimiterMemory } from 'rate-limiter-flexible'

/** Wrong passwords that one address may send before it has to wait. */
const TRIES = 5
/** The first wait, doubled by each further wrong password, and its limit. */
const FIRST_WAIT_S = 30
const LONGEST_WAIT_S = 15 * 60
/** An address is forgiven after so long without a wrong password. */
const MEMORY_S = 60 * 60
/** Wrong passwords from everywhere together, per quarter of an hour: also the limit of what is remembered. */
const TRIES_EVERYWHERE = 100
const EVERYWHERE_S = 15 * 60
/** Tries waiting for their turn. */
const MAX_WAITING = 20

export type Admission = { readonly right: boolean } | { readonly waitS: number }

/** Tries a password, unless the address has to wait. */
export type SignInGate = (address: string, isRight: () => Promise<boolean>) => Promise<Admission>

/**
 * Slows down whoever guesses. Tries are taken one after the other: so the count is exact however many come at once, and
 * only one costly hash is being worked out at a time.
 */
export function createSignInGate(): SignInGate {
  const wrong = new RateLimiterMemory({ points: TRIES, duration: MEMORY_S })
  const waits = new RateLimiterMemory({ points: 0, duration: 0 })
  const everywhere = new RateLimiterMemory({ points: TRIES_EVERYWHERE, duration: EVERYWHERE_S })
  let turn: Promise<unknown> = Promise.resolve()
  let waiting = 0

  async function take(key: string, isRight: () => Promise<boolean>): Promise<Admission> {
    const all = await everywhere.get('all')
    if (all && all.consumedPoints >= TRIES_EVERYWHERE && all.msBeforeNext > 0) return wait(all.msBeforeNext)
    const held = await waits.get(key)
    if (held && held.msBeforeNext > 0) return wait(held.msBeforeNext)

    if (await isRight()) {
      await wrong.delete(key)
      return { right: true }
    }
    await everywhere.penalty('all')
    const { consumedPoints } = await wrong.penalty(key)
    if (consumedPoints >= TRIES) {
      await waits.block(key, Math.min(FIRST_WAIT_S * 2 ** (consumedPoints - TRIES), LONGEST_WAIT_S))
    }
    return { right: false }
  }

  return async function signInGate(address, isRight) {
    if (waiting >= MAX_WAITING) return { waitS: 5 }
    waiting += 1
    const mine = turn.then(() => take(keyOf(address), isRight))
    turn = mine.catch(() => undefined)
    try {
      return await mine
    } finally {
      waiting -= 1
    }
  }
}

const wait = (ms: number): Admission => ({ waitS: Math.max(1, Math.ceil(ms / 1000)) })

/** One household usually holds a whole /64 of IPv6 addresses: they count as one. */
function keyOf(address: string): string {
  const plain = address.replace(/^::ffff:/i, '').replace(/%.*$/, '')
  if (!plain.includes(':')) return plain
  const [head = '', tail = ''] = plain.split('::')
  const groups = head.split(':').filter(Boolean)
  const missing = 8 - groups.length - tail.split(':').filter(Boolean).length
  const whole = plain.includes('::') ? [...groups, ...Array<string>(Math.max(0, missing)).fill('0')] : groups
  return `${whole.slice(0, 4).join(':')}::/64`
}
