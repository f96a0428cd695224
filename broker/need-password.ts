import type { Flags } from './flags.ts'
import { isLoopback } from './loopback.ts'
import { passwordSetAt } from './password.ts'

/** The service is to be reached from other machines, and nobody has set a password. */
export class NoPasswordError extends Error {
  override readonly name = 'NoPasswordError'
}

/** @throws NoPasswordError where other machines could reach the service, and nobody has set one. */
export async function needPassword(flags: Flags, store: Parameters<typeof passwordSetAt>[0]): Promise<void> {
  if (isLoopback(flags.http.host) || (await passwordSetAt(store)) !== null) return
  const usual = flags.dataDir === 'data' ? '' : `--data ${flags.dataDir} `
  const where = flags.storeUrl === null ? usual : '--store-url URL '
  throw new NoPasswordError(
    `Cannot start: other machines could reach it, and no password is set. Set one: npm run brinewatch -- ${where}password set`,
  )
}
