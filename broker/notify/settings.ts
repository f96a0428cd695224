import { randomBytes } from 'node:crypto'
import type { Store } from '../store/contract.ts'
import { noSettings, type NotifySettings } from './people.ts'

const SETTINGS = 'notify'
const KEY = 'notify-key'

/** The part of the store that settings need. */
export type DocumentStore = Pick<Store, 'document' | 'keepDocument'>

/** Who is called and how; what an older version did not know yet has its default. */
export async function loadNotifySettings(store: DocumentStore): Promise<NotifySettings> {
  const json = await store.document(SETTINGS)
  return json === undefined ? noSettings : { ...noSettings, ...(JSON.parse(json) as Partial<NotifySettings>) }
}

export async function saveNotifySettings(store: DocumentStore, settings: NotifySettings): Promise<void> {
  await store.keepDocument(SETTINGS, JSON.stringify(settings))
}

/** What the links in messages are made with; made once for each data directory. */
export async function linkKey(store: DocumentStore): Promise<Buffer> {
  const kept = await store.document(KEY)
  if (kept !== undefined) return Buffer.from(JSON.parse(kept) as string, 'base64url')
  const key = randomBytes(32)
  await store.keepDocument(KEY, JSON.stringify(key.toString('base64url')))
  return key
}
