import { RoomError, RoomErrorKind } from '../../room/contract.ts'
import { wrongWithAddress } from '../http-call.ts'
import type { DocumentStore } from '../settings.ts'

/** Whom the service tells that it is well, and how often. */
export interface HeartbeatSettings {
  /** A watcher outside: it calls the person when it was not called for longer than it should have been. */
  readonly url: string
  readonly method: 'GET' | 'POST'
  readonly everyMinutes: number
  /** Whether the address with `/fail` behind its path is called while the service is not well, rather than none at all. */
  readonly tellTrouble: boolean
}

export const EVERY_MINUTES_LIMIT = 1440

const DOCUMENT = 'heartbeat'

/** `null`: nobody outside is told. */
export async function loadHeartbeat(store: DocumentStore): Promise<HeartbeatSettings | null> {
  const json = await store.document(DOCUMENT)
  return json === undefined ? null : (JSON.parse(json) as HeartbeatSettings | null)
}

export async function saveHeartbeat(store: DocumentStore, settings: HeartbeatSettings | null): Promise<void> {
  await store.keepDocument(DOCUMENT, JSON.stringify(settings))
}

/** @throws RoomError of kind `invalid` that names the field. */
export function checkHeartbeat(sent: HeartbeatSettings): HeartbeatSettings {
  const url = sent.url.trim()
  const wrong = wrongWithAddress(url)
  if (wrong !== null) throw new RoomError(RoomErrorKind.invalid, wrong, 'settings.url')
  const { everyMinutes } = sent
  if (!Number.isInteger(everyMinutes) || everyMinutes < 1 || everyMinutes > EVERY_MINUTES_LIMIT)
    throw new RoomError(
      RoomErrorKind.invalid,
      `Write whole minutes from 1 to ${EVERY_MINUTES_LIMIT}, got ${everyMinutes}`,
      'settings.everyMinutes',
    )
  return { ...sent, url }
}
