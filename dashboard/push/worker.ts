import { Link } from '../state/room-state.ts'
import { store } from '../state/store.ts'

/** Where the build puts it: at the root, so that the whole dashboard is within its reach. */
const WORKER = '/worker.js'
/** So long after the page was there the shell is kept, ms: who opens it on the way to something else has got there by then. */
const SETTLED_MS = 2000

/**
 * Registers the service worker: with it the page opens without the broker, and calls come though no page is open. Browsers have
 * one on HTTPS and on this machine's own address only; elsewhere all else works as ever.
 */
export function keepShell(): void {
  if (import.meta.env.DEV || !('serviceWorker' in navigator)) return
  const register = (): void => {
    navigator.serviceWorker.register(WORKER, { scope: '/', updateViaCache: 'none' }).then(
      // A screen stays open for weeks: a broker that comes back may have been updated in between.
      registration => whenBack(() => void registration.update().catch(() => undefined)),
      // A private window may have none: all else works as ever.
      () => undefined,
    )
  }
  // The first picture comes first, and what is asked for next: to keep the whole dashboard takes a small broker's time.
  const soon = (): void => void setTimeout(register, SETTLED_MS)
  if (document.readyState === 'complete') soon()
  else addEventListener('load', soon, { once: true })
}

function whenBack(act: () => void): void {
  let was: Link = store.link
  store.subscribe(({ link }) => {
    if (link === Link.live && was === Link.lost) act()
    was = link
  })
}
