import { connect } from 'node:net'
import type { Store } from '../../store/contract.ts'

/** One thing without which the service does not do its work. */
export interface VitalSign {
  /** What is wrong, one sentence; `null` when all is well. What takes too long, or throws, counts as wrong. */
  readonly check: () => string | null | Promise<string | null>
  /** Said when the check did not answer in time, or threw. */
  readonly otherwise: string
}

/** How long a sign may take, ms: ten times what a busy machine needs. */
const PATIENCE_MS = 5000
/** The thread that writes to the disk runs, whatever the disk says. Once it has died only a new start mends it. */
export function writerLives(lives: () => boolean): VitalSign {
  const words = 'The thread that writes to the disk has ended.'
  return { check: () => (lives() ? null : words), otherwise: words }
}

/** The rules look at the room once a second; so long without a look is no unevenness any more, ms. */
const LOOK_WITHIN_MS = 15_000
/** A connection that is not wanted is closed at once; one that is held for so long is held, ms. */
const HELD_MS = 50

/** What is wrong now, a sentence each; empty when the service is truly well. Never rejects, and always answers in time. */
export async function ailmentsBy(signs: readonly VitalSign[], patienceMs = PATIENCE_MS): Promise<string[]> {
  const found = await Promise.all(signs.map(sign => looked(sign, patienceMs)))
  return found.filter(each => each !== null)
}

async function looked({ check, otherwise }: VitalSign, patienceMs: number): Promise<string | null> {
  let timer: ReturnType<typeof setTimeout> | undefined
  const late = new Promise<string>(resolve => (timer = setTimeout(resolve, patienceMs, otherwise)))
  try {
    return await Promise.race([Promise.resolve(check()), late])
  } catch {
    return otherwise
  } finally {
    clearTimeout(timer)
  }
}

/** Something is written and on disk: that nothing waits to be written is no proof. */
export function storeKeeps(store: Pick<Store, 'keepDocument'>, clock: () => number): VitalSign {
  return {
    check: async () => {
      await store.keepDocument('heartbeat-proof', JSON.stringify(clock()))
      return null
    },
    otherwise: 'What is measured cannot be kept: the disk is full, slow or refuses.',
  }
}

/** The rules look at the room. `lookedAt`: when they last did, on the monotonic clock. */
export function rulesTick(lookedAt: () => number, monotonicMs: () => number): VitalSign {
  const words = `The rules have not looked at the room for more than ${LOOK_WITHIN_MS / 1000} s.`
  return { check: () => (monotonicMs() - lookedAt() > LOOK_WITHIN_MS ? words : null), otherwise: words }
}

/** Devices can connect: a connection to our own port is taken, and kept. `null` while it does not listen. */
export function portTakesDevices(
  at: () => { host: string; port: number } | null,
  heldMs = HELD_MS,
): VitalSign {
  const words = 'Devices cannot connect.'
  return {
    check: () => {
      const to = at()
      return to === null ? words : takes(to, heldMs).then(taken => (taken ? null : words))
    },
    otherwise: words,
  }
}

/** Readings that come through a broker elsewhere: the connection to it stands. */
export function brokerReached(connected: () => boolean): VitalSign {
  const words = 'The MQTT broker cannot be reached.'
  return { check: () => (connected() ? null : words), otherwise: words }
}

function takes({ host, port }: { host: string; port: number }, heldMs: number): Promise<boolean> {
  return new Promise(resolve => {
    const socket = connect({ host: host === '0.0.0.0' ? '127.0.0.1' : host === '::' ? '::1' : host, port })
    const settle = (taken: boolean): void => {
      resolve(taken)
      socket.destroy()
    }
    socket.once('connect', () => setTimeout(settle, heldMs, true))
    socket.once('error', () => settle(false))
    socket.once('close', () => settle(false))
    socket.setTimeout(PATIENCE_MS, () => settle(false))
  })
}
