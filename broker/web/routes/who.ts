import type { Context } from 'hono'
import type { WebEnv } from '../context.ts'
import { given, momentMs } from './describe.ts'

/** Who did it, when nobody says so. */
const SOMEBODY = 'somebody at the screen'

/** Who says it, and when it was so, as the room takes both. */
export function saidBy(c: Context<WebEnv>, by: string | undefined): string {
  return by ?? c.get('identity')?.name ?? SOMEBODY
}
export const saidAt = (at: string | undefined) =>
  given({ atMs: at === undefined ? undefined : momentMs('at', at) }) as { atMs?: number }
