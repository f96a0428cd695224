import webPush from 'web-push'
import type { Store } from '../store/contract.ts'

/** The pair by which push services know this service again (VAPID, RFC 8292), base64url. */
export interface PushKeys {
  /** Given to browsers: a subscription made with it can be sent to by nobody else. */
  readonly publicKey: string
  readonly privateKey: string
}

const KEY = 'push-keys'

/**
 * The service's own keys, made at the first start. They are never replaced: every subscription is bound to them, so with new
 * ones every phone would have to be added again.
 *
 * @throws Error when what is kept cannot be read.
 */
export async function loadPushKeys(store: Pick<Store, 'document' | 'keepDocument'>): Promise<PushKeys> {
  const json = await store.document(KEY)
  if (json !== undefined) return readKeys(json)
  const made = webPush.generateVAPIDKeys()
  await store.keepDocument(KEY, JSON.stringify(made))
  return made
}

function readKeys(json: string): PushKeys {
  try {
    const { publicKey, privateKey } = JSON.parse(json) as Partial<PushKeys>
    if (bytes(publicKey) === 65 && bytes(privateKey) === 32)
      return { publicKey: publicKey!, privateKey: privateKey! }
  } catch {
    // Told below, without the text: it may hold the key.
  }
  throw new Error(
    'Cannot read the keys for calling phones: they are damaged in the data folder; restore a backup of it',
  )
}

function bytes(text: string | undefined): number {
  return typeof text === 'string' ? Buffer.from(text, 'base64url').length : 0
}
