import { Shell, type ShellBuild } from './cache.ts'
import { ACKNOWLEDGE, notAcknowledged, noticeOf, readData, readPush, type NoticeData } from './notice.ts'
import type { WindowClient, WorkerScope } from './scope.ts'

/** Written in by the build. */
declare const SHELL_BUILD: ShellBuild

const worker = globalThis as unknown as WorkerScope
const shell = new Shell(SHELL_BUILD, worker.location.origin)

worker.addEventListener('install', event => {
  // The new shell takes over at once: pages are fetched anew anyway, and an old worker must not show calls in an old way.
  event.waitUntil(shell.fill().then(() => worker.skipWaiting()))
})

worker.addEventListener('activate', event => {
  event.waitUntil(shell.dropOthers().then(() => worker.clients.claim()))
})

worker.addEventListener('fetch', event => {
  const answer = shell.answer(event.request)
  if (answer) event.respondWith(answer)
})

worker.addEventListener('push', event => {
  const { title, options } = noticeOf(readPush(event.data?.text() ?? null, Date.now()))
  event.waitUntil(worker.registration.showNotification(title, options))
})

worker.addEventListener('notificationclick', event => {
  const data = readData(event.notification.data)
  event.notification.close()
  event.waitUntil(
    event.action === ACKNOWLEDGE && data.acknowledgePath !== null
      ? acknowledge(data, data.acknowledgePath)
      : open(data.openPath),
  )
})

/** On our own origin, whatever name the link was made with: the phone knows by which name it reaches the broker. */
async function acknowledge(data: NoticeData, path: string): Promise<void> {
  try {
    const response = await fetch(path, { method: 'POST', credentials: 'same-origin' })
    if (response.ok) return
  } catch {
    // Said below, as for a refusal.
  }
  const { title, options } = notAcknowledged(data, Date.now())
  await worker.registration.showNotification(title, options)
}

/** In a page that is open already, if there is one. */
async function open(path: string): Promise<void> {
  const url = new URL(path, worker.location.origin).href
  const pages = await worker.clients.matchAll({ type: 'window', includeUncontrolled: true })
  const page = bestOf(pages, url)
  if (!page) {
    await worker.clients.openWindow(url)
    return
  }
  try {
    const focused = await page.focus()
    if (focused.url !== url) await focused.navigate(url)
  } catch {
    // A page that this worker does not control yet cannot be led.
    await worker.clients.openWindow(url)
  }
}

function bestOf(pages: readonly WindowClient[], url: string): WindowClient | undefined {
  return (
    pages.find(page => page.url === url) ??
    pages.find(({ visibilityState }) => visibilityState === 'visible') ??
    pages[0]
  )
}
