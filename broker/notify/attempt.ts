import { DeliveryError, FailureKind } from './contract.ts'

/** How long one attempt may take, in real time. */
export const ATTEMPT_MS = 10_000

/** How an attempt ended. `stopped`: the service stops, and nobody knows whether it got through. */
export type Outcome =
  | { readonly kind: 'delivered' }
  | { readonly kind: 'failed'; readonly error: DeliveryError }
  | { readonly kind: 'stopped' }

/**
 * Tries once, and answers in time whatever is tried: what does not heed its signal is left behind. Never rejects.
 */
export async function attempt(
  send: (signal: AbortSignal) => Promise<void>,
  stop: AbortSignal,
  withinMs = ATTEMPT_MS,
): Promise<Outcome> {
  const late = new AbortController()
  const timer = setTimeout(() => late.abort(), withinMs)
  const signal = AbortSignal.any([stop, late.signal])
  const aborted = new Promise<'aborted'>(resolve => {
    if (signal.aborted) resolve('aborted')
    signal.addEventListener('abort', () => resolve('aborted'), { once: true })
  })
  try {
    const sent = Promise.resolve(send(signal))
    if ((await Promise.race([sent, aborted])) !== 'aborted') return { kind: 'delivered' }
    sent.catch(() => undefined)
    return stop.aborted ? { kind: 'stopped' } : failed(tooLate(withinMs))
  } catch (error) {
    if (stop.aborted) return { kind: 'stopped' }
    if (late.signal.aborted) return failed(tooLate(withinMs))
    return failed(error)
  } finally {
    clearTimeout(timer)
  }
}

function failed(error: unknown): Outcome {
  if (error instanceof DeliveryError) return { kind: 'failed', error }
  // What an unforeseen error says may hold anything: it goes along as the cause, for the log alone.
  const words = 'It could not be sent: something unforeseen went wrong'
  return { kind: 'failed', error: new DeliveryError(FailureKind.temporary, words, { cause: error }) }
}

const tooLate = (ms: number): DeliveryError =>
  new DeliveryError(FailureKind.temporary, `No answer came within ${Math.round(ms / 1000)} s`)
