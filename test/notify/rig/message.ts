import type { Message } from '../../../broker/notify/contract.ts'

export const SENT_MS = Date.UTC(2026, 0, 10, 3, 12)

export function aMessage(more: Partial<Message> = {}): Message {
  return {
    id: 'x1.1.raised.p1.a1',
    about: 'alarm',
    occasion: 'raised',
    alarmId: 'x1',
    rule: 'water-too-hot',
    title: 'Too hot, Cone 1: Switch the lamp off',
    text: 'The water is 30.1 °C.\nSwitch the lamp off at a dry plug.',
    priority: 'critical',
    acknowledgeUrl: 'http://192.168.1.20:8080/a/token',
    openUrl: 'http://192.168.1.20:8080/vessel/v1',
    sentAtMs: SENT_MS,
    ...more,
  }
}

/** How a promise failed; it must. */
export async function failureOf(work: Promise<unknown>): Promise<any> {
  return work.then(
    () => {
      throw new Error('It did not fail')
    },
    (error: unknown) => error,
  )
}

/** Waits in real time until something is so, at most `withinMs`. */
export async function soon(isSo: () => boolean, withinMs = 20_000): Promise<boolean> {
  const end = Date.now() + withinMs
  while (!isSo() && Date.now() < end) await new Promise(resolve => setTimeout(resolve, 5))
  return isSo()
}

/**
 * Lets what goes on within this process come to rest: so many turns of its event loop, whatever time they take. Mere time would
 * pass without any on a machine that is busy with something else.
 */
export async function settle(turns = 15): Promise<void> {
  for (let turn = 0; turn < turns; turn++) await new Promise(resolve => setTimeout(resolve, 2))
}
