import { z } from 'zod'
import { DEVICE_NAME } from '../../firmware-protocol/topics.ts'
import { isReserved, isTopicFilter } from '../intake/topic-filter.ts'
import { RoomError, RoomErrorKind } from '../room/contract.ts'
import { hashSecret, newSecret as randomSecret, secretMatches, type NewSecret } from '../secrets.ts'
import type { Store } from '../store/contract.ts'

const KIND = 'bridge'
/** Own choices: a house has one or two brokers, and a handful of sensors that speak for themselves. */
export const BRIDGES_LIMIT = 50
export const FILTERS_LIMIT = 16

const Kept = z.object({ hash: z.string(), topics: z.array(z.string()) })

/** Credentials for sensors that are there already: they reach their topics and nothing else. */
export interface Bridge {
  readonly name: string
  /** Topic filters: MQTT 3.1.1 section 4.7, + and # included. */
  readonly topics: readonly string[]
  readonly createdAtMs: number
}

export type BridgeStore = Pick<Store, 'records' | 'keepRecord' | 'dropRecord' | 'devices'>

export async function listBridges(store: Pick<Store, 'records'>): Promise<Bridge[]> {
  return (await store.records(KIND)).flatMap(({ id, createdAtMs, json }) => {
    const kept = Kept.safeParse(JSON.parse(json))
    return kept.success ? [{ name: id, topics: kept.data.topics, createdAtMs }] : []
  })
}

/** Resolves to the password, which is not kept. @throws RoomError that names the field. */
export async function addBridge(
  store: BridgeStore,
  {
    name,
    topics,
    nowMs,
  }: { readonly name: string; readonly topics: readonly string[]; readonly nowMs: number },
  newSecret: NewSecret = randomSecret,
): Promise<string> {
  const refuse = (kind: RoomErrorKind, field: string, why: string): never => {
    throw new RoomError(kind, `Cannot add bridge: ${why}`, field)
  }
  if (!DEVICE_NAME.test(name))
    refuse(
      RoomErrorKind.invalid,
      'name',
      'use 1 to 63 letters, digits, "-" and "_", beginning with a letter or digit',
    )
  if (topics.length === 0 || topics.length > FILTERS_LIMIT)
    refuse(RoomErrorKind.invalid, 'topics', `name 1 to ${FILTERS_LIMIT} topics, got ${topics.length}`)
  for (const topic of topics) {
    if (!isTopicFilter(topic))
      refuse(
        RoomErrorKind.invalid,
        'topics',
        `"${topic.slice(0, 80)}" is no topic filter; + fills a level, # stands last`,
      )
    if (isReserved(topic))
      refuse(RoomErrorKind.invalid, 'topics', `${topic} is one of brinewatch's or of the broker's own`)
  }
  const bridges = await listBridges(store)
  if (bridges.length >= BRIDGES_LIMIT)
    refuse(RoomErrorKind.conflict, 'name', `there are ${BRIDGES_LIMIT} already`)
  const devices = await store.devices()
  if (
    bridges.some(bridge => bridge.name === name) ||
    devices.some(device => device.name === name && device.revokedAtMs === null)
  )
    refuse(RoomErrorKind.conflict, 'name', `the name ${name} is taken`)
  const password = newSecret()
  const json = JSON.stringify({ hash: hashSecret(password), topics: [...new Set(topics)] })
  await store.keepRecord({
    kind: KIND,
    id: name,
    createdAtMs: nowMs,
    changedAtMs: nowMs,
    endedAtMs: null,
    json,
  })
  return password
}

/** Its credentials are no longer good. @throws RoomError of kind `not-found`. */
export async function removeBridge(store: BridgeStore, name: string): Promise<void> {
  if (!(await listBridges(store)).some(bridge => bridge.name === name))
    throw new RoomError(RoomErrorKind.notFound, `Cannot remove bridge: none is called "${name}"`)
  await store.dropRecord({ kind: KIND, id: name })
}

/** The topic filters of a bridge, if this is its password. Reads the file anew: another process may have added it. */
export async function bridgeTopics(
  store: Pick<Store, 'records'>,
  name: string,
  password: string,
): Promise<readonly string[] | undefined> {
  const row = (await store.records(KIND)).find(({ id }) => id === name)
  const kept = row && Kept.safeParse(JSON.parse(row.json))
  return kept?.success && secretMatches(password, kept.data.hash) ? kept.data.topics : undefined
}
