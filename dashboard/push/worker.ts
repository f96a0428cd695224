import { Link } from '../state/room-state.ts'
import { store } from '../state/store.ts'

/** Where the build puts it: at the root, so that the whole dashboard is within its reach. */
const WORKER = '/worker.js'

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
  // The first picture comes first.
  if (document.readyState === 'complete') register()
  else addEventListener('load', register, { once: true })
}

function whenBack(act: () => void): void {
  let was: Link = store.link
  store.subscribe(({ link }) => {
    if (link === Link.live && was === Link.lost) act()
    was = link
  })
}
