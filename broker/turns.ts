/** Lets whatever waits for the event loop have it first. */
export const othersFirst = (): Promise<void> => new Promise(resolve => setImmediate(resolve))

/** So many readings are gone through at a time: some milliseconds of work. */
const READINGS_A_TURN = 20_000

/** Calls for each, in order; whatever else waits for the event loop has its turn in between where there are many. */
export async function eachInTurns<T>(all: readonly T[], take: (one: T) => void): Promise<void> {
  for (const [at, one] of all.entries()) {
    if (at > 0 && at % READINGS_A_TURN === 0) await othersFirst()
    take(one)
  }
}
