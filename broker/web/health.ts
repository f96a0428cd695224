import type { WebOptions } from './context.ts'

/** The store must have what waits on disk within so long to count as well. */
const PATIENCE_MS = 2000

/** What keeps the service from its work, one sentence each; empty when it is well. */
export async function ailmentsOf({
  store,
  ailments,
}: Pick<WebOptions, 'store' | 'ailments'>): Promise<string[]> {
  return [...(ailments?.() ?? []), ...(await storeAilments(store))]
}

async function storeAilments(store: WebOptions['store']): Promise<string[]> {
  let timer: NodeJS.Timeout | undefined
  const late = new Promise<string[]>(resolve => {
    timer = setTimeout(
      () => resolve([`The store did not commit within ${PATIENCE_MS / 1000} s`]),
      PATIENCE_MS,
    )
  })
  const settled = store.settled().then(
    () => [],
    (error: unknown) => [error instanceof Error ? error.message : String(error)],
  )
  try {
    return await Promise.race([settled, late])
  } finally {
    clearTimeout(timer)
  }
}
