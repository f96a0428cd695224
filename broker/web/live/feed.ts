import type { Clock } from '../../clock.ts'
import type { Room } from '../../room/contract.ts'
import type { Walks } from '../../room/books/contract.ts'
import type { Feeding } from '../../room/feeding/contract.ts'
import type { Identity, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { ChangeLog, cursorOf, parseCursor } from './change-log.ts'
import { CloseCode, LiveClient, type LiveSocket } from './client.ts'
import { withoutSuperseded } from './superseded.ts'

/** Changes are gathered for so long before they are sent together. Alarms are not gathered. */
const GATHER_MS = 50
/** Changes held for clients that come back. */
const HELD_CHANGES = 10_000
const BEAT_MS = 20_000
/** How often clients that fell behind are looked at. */
const CATCH_UP_MS = 250
export const MAX_CLIENTS = 200

export interface LiveFeed {
  /** Serves a client from `since`, if that is still held, else from a snapshot. */
  join(socket: LiveSocket, identity: Identity, since: string | undefined): void
  clients(): number
  isFull(): boolean
  /** Turns away the clients of a session that has ended. */
  dropSession(session: string): void
  close(): void
}

export interface LiveFeedOptions {
  readonly room: Room
  /** Its new plans are told, too. */
  readonly feeding?: Pick<Feeding, 'onPlan'> | undefined
  /** Walked work, so that a second screen follows it. */
  readonly walks?: Pick<Walks, 'onChange'> | undefined
  readonly clock: Clock
  readonly clockSpeed: number
  readonly connect?: WebOptions['connect'] | undefined
  /** Names this run of the service: a cursor of another run is of no use. */
  readonly epoch: string
  /** Asked now and then for each client that signed in; one that may no longer look is turned away. */
  readonly mayStay: (identity: Identity) => Promise<boolean>
}

export type FedChange = present.FedChange

/** A change waiting to be sent, and its JSON once somebody needed it: one text for all clients. */
interface Entry {
  readonly change: FedChange
  json?: string
}

export function createLiveFeed({
  room,
  feeding,
  walks,
  clock,
  clockSpeed,
  connect,
  epoch,
  mayStay,
}: LiveFeedOptions): LiveFeed {
  const clients = new Set<LiveClient>()
  const log = new ChangeLog<Entry>(HELD_CHANGES)
  let gathered: FedChange[] = []
  let gathering: NodeJS.Timeout | undefined
  /** The change from which on even the client that left last could only get a snapshot. */
  let wantedUntil = 0

  const cursor = () => cursorOf({ epoch, n: log.count })
  const snapshot = () =>
    JSON.stringify(present.snapshot(room.snapshot(), cursor(), clock(), clockSpeed, connect?.()))

  /** Put together by hand from the changes' own texts, so that each is turned into JSON once. */
  function message(entries: readonly Entry[]): string {
    const changes = entries.map(entry => (entry.json ??= JSON.stringify(present.change(entry.change))))
    return `{"type":"changes","cursor":"${cursor()}","nowMs":${clock()},"changes":[${changes.join(',')}]}`
  }

  function flush(): void {
    clearTimeout(gathering)
    gathering = undefined
    if (gathered.length === 0) return
    const entries: Entry[] = withoutSuperseded(gathered).map(change => ({ change }))
    gathered = []
    for (const entry of entries) log.add(entry)
    if (clients.size === 0) return
    const text = message(entries)
    for (const client of clients) client.sendChanges(text)
  }

  /** Whether somebody looks, or could still come back for what is held. With nobody there the changes are not worth their memory. */
  const isWanted = () => clients.size > 0 || log.count < wantedUntil

  function gather(change: FedChange): void {
    if (!isWanted()) return log.pass()
    gathered.push(change)
    if (change.kind === 'alarm') flush()
    else gathering ??= setTimeout(flush, GATHER_MS)
  }
  const stopListening = room.onChange(gather)
  const stopWalks = walks?.onChange(gather)
  const stopPlans = feeding?.onPlan(({ computedAtMs }) => gather({ kind: 'plan', computedAtMs }))

  function catchUp(): void {
    if (![...clients].some(client => client.behind)) return
    flush()
    let text: string | undefined
    for (const client of clients) client.catchUp(() => (text ??= snapshot()))
  }

  function beat(): void {
    flush()
    // Scripts in a browser do not see pings: a message without changes shows them that the line is alive.
    const quiet = message([])
    for (const client of clients) {
      client.sendChanges(quiet)
      client.beat()
      // A failing store is no reason to blind the screens: only a clear "no" turns a client away.
      mayStay(client.identity).then(
        may => may || client.close(CloseCode.policy, 'signed out'),
        () => undefined,
      )
    }
  }

  const timers = [setInterval(catchUp, CATCH_UP_MS), setInterval(beat, BEAT_MS)]
  for (const timer of timers) timer.unref()

  return {
    join(socket, identity, since) {
      flush()
      const client = new LiveClient(socket, identity)
      socket.on('close', () => {
        clients.delete(client)
        wantedUntil = log.count + HELD_CHANGES
      })
      // An error is followed by a close, where the client is forgotten.
      socket.on('error', () => undefined)
      clients.add(client)
      const from = since === undefined ? undefined : parseCursor(since)
      const missed = from?.epoch === epoch ? log.since(from.n) : undefined
      client.sendFirst(missed ? message(missed) : snapshot())
    },
    clients: () => clients.size,
    isFull: () => clients.size >= MAX_CLIENTS,
    dropSession(session) {
      for (const client of clients) {
        if (client.identity.session === session) client.close(CloseCode.policy, 'signed out')
      }
    },
    close() {
      stopListening()
      stopPlans?.()
      stopWalks?.()
      clearTimeout(gathering)
      timers.forEach(clearInterval)
      for (const client of clients) client.close(CloseCode.goingAway, 'the service stops')
    },
  }
}
