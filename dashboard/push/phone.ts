import type { Called, NewPhone, Phone, Phones } from '../../broker/web/api/push.ts'
import { ApiError, request } from '../state/api.ts'

export const lookAtPhones = (): Promise<Phones> => request<Phones>('GET', '/push')
export const callPhone = (id: string): Promise<Called> => request<Called>('POST', `/push/phones/${id}/test`)

/** This browser among the phones that are called, by the digest of its endpoint; `null` while it is none. */
export async function ownId(): Promise<string | null> {
  const subscription = await (
    await navigator.serviceWorker.getRegistration('/')
  )?.pushManager.getSubscription()
  return subscription ? digest(subscription.endpoint) : null
}

/** Asks the person, subscribes, and tells the broker. Must begin with a tap: browsers ask for nothing without one. */
export async function addThisPhone(publicKey: string, name: string, person: string): Promise<Phone> {
  const permission = await Notification.requestPermission()
  if (permission !== 'granted')
    throw new ApiError(0, 'You have not allowed notices from this page, so this phone cannot be called.')
  const { pushManager } = await readyWorker()
  const subscription = await subscribe(pushManager, publicKey)
  const body: NewPhone = { name, person, subscription: subscription.toJSON() as NewPhone['subscription'] }
  return request<Phone>('POST', '/push/phones', body)
}

/** Takes a phone out; if it is this one, the browser forgets its subscription too. */
export async function dropPhone(id: string): Promise<void> {
  await request('DELETE', `/push/phones/${id}`)
  const registration = await navigator.serviceWorker?.getRegistration('/')
  const subscription = await registration?.pushManager.getSubscription()
  if (subscription && (await digest(subscription.endpoint)) === id) await subscription.unsubscribe()
}

async function subscribe(pushManager: PushManager, publicKey: string): Promise<PushSubscription> {
  const applicationServerKey = bytesOf(publicKey)
  const old = await pushManager.getSubscription()
  // A subscription made with another key, as of a broker with another data folder, cannot be sent to by this one.
  if (old && !sameBytes(old.options.applicationServerKey, applicationServerKey)) await old.unsubscribe()
  try {
    return await pushManager.subscribe({ userVisibleOnly: true, applicationServerKey })
  } catch {
    throw new ApiError(
      0,
      "The browser could not reach its maker's push service. The phone needs the internet for this; try again.",
    )
  }
}

/** How long the worker may take to be ready: it was registered when the page was opened. */
const READY_MS = 10_000

async function readyWorker(): Promise<ServiceWorkerRegistration> {
  const late = new Promise<null>(resolve => setTimeout(resolve, READY_MS, null))
  const ready = await Promise.race([navigator.serviceWorker.ready, late])
  if (ready) return ready
  throw new ApiError(0, 'The page is not ready to take calls. Load it again and try once more.')
}

async function digest(text: string): Promise<string> {
  const hash = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text))
  return [...new Uint8Array(hash)]
    .map(byte => byte.toString(16).padStart(2, '0'))
    .join('')
    .slice(0, 24)
}

function bytesOf(base64Url: string): Uint8Array<ArrayBuffer> {
  const text = atob(base64Url.replaceAll('-', '+').replaceAll('_', '/'))
  return Uint8Array.from(text, character => character.charCodeAt(0))
}

function sameBytes(one: ArrayBuffer | null, other: Uint8Array): boolean {
  if (one === null || one.byteLength !== other.length) return false
  return new Uint8Array(one).every((byte, index) => byte === other[index])
}
