import type { WebEnv } from '../context.ts'
import { given, momentMs } from './describe.ts'

/** Who did it, when nobody says so: whoever is signed in, and the owner signs in without a name. */
const OWNER = 'the owner'
/** Where nobody signs in. */
const SOMEBODY = 'somebody at the screen'

/** What is asked of a request here. */
type Asking = { get(key: 'identity'): WebEnv['Variables']['identity'] }

/** Who says it, and when it was so, as the room takes both. */
export function saidBy(c: Asking, by: string | undefined): string {
  const identity = c.get('identity')
  return by ?? identity?.name ?? (identity?.session ? OWNER : SOMEBODY)
}
export const saidAt = (at: string | undefined) =>
  given({ atMs: at === undefined ? undefined : momentMs('at', at) }) as { atMs?: number }
