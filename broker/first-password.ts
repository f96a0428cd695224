import { askNewPassword } from './cli/new-password.ts'
import type { Clock } from './clock.ts'
import { PASSWORD_MIN_LENGTH, setPassword } from './password.ts'
import { openStoreAt, type StorePlace } from './store/open-at.ts'

/** Asks for the first password at the terminal and keeps it. Short ones are asked for again. */
export async function firstPassword(place: StorePlace, clock: Clock): Promise<void> {
  const say = (text: string): void => void process.stderr.write(text)
  say(
    `Other machines will be able to reach this service, so it needs a password: at least ${PASSWORD_MIN_LENGTH} characters.\n`,
  )
  const store = await openStoreAt(place, { access: 'tool', clock })
  try {
    for (;;) {
      try {
        await setPassword(store, await askNewPassword(process.stdin, say), clock())
        return
      } catch (error) {
        if (!(error instanceof RangeError)) throw error
        say(`${error.message}\n`)
      }
    }
  } finally {
    await store.close()
  }
}
