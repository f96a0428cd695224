import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pino from 'pino'
import { Quality, type PlacedPack, type Reading } from '../../broker/intake/reading.ts'
import type { RoomChange } from '../../broker/room/contract.ts'
import { openRoom, type RunningRoom } from '../../broker/room/room.ts'
import type { Store } from '../../broker/store/contract.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'

export const HOUR = 3_600_000

/** A room over a real store in a folder of its own, with a clock that the test turns. */
export interface Opened extends RunningRoom {
  nowMs: number
  readonly store: Store
  readonly changes: RoomChange[]
  /** Sends one pack of one device, all readings at one moment (now, unless given), and waits until it is kept. */
  send(device: string, values: Record<string, number>, atMs?: number, quality?: Quality): Promise<void>
  /** Closes the store and opens the room anew on the same folder. */
  reopen(): Promise<Opened>
  close(): Promise<void>
}

type OnError = (words: string) => void

/** `onError` is told what the room logs as an error; without it nobody is. */
export async function openTestRoom(startMs = Date.UTC(2026, 0, 10, 12), onError?: OnError): Promise<Opened> {
  const dir = mkdtempSync(join(tmpdir(), 'brinewatch-room-'))
  return open(dir, startMs, onError)
}

async function open(dir: string, startMs: number, onError?: OnError): Promise<Opened> {
  let ids = 0
  const clock = () => opened.nowMs
  const logger = onError
    ? pino(
        { level: 'error' },
        { write: (line: string) => onError((JSON.parse(line) as { msg: string }).msg) },
      )
    : pino({ level: 'silent' })
  const opened = { nowMs: startMs, changes: [] as RoomChange[] } as unknown as Opened
  const store = await openStore({ dir, clock, logger })
  Object.assign(opened, { store })
  const running = await openRoom({ store, clock, logger, newId: () => `id-${startMs.toString(36)}-${ids++}` })
  running.room.onChange(change => opened.changes.push(change))
  return Object.assign(opened, running, {
    send: (
      device: string,
      values: Record<string, number>,
      atMs = opened.nowMs,
      quality: Quality = Quality.good,
    ) =>
      new Promise<void>((resolve, reject) =>
        running.outlet.pack(packOf(device, values, atMs, opened.nowMs, quality), error =>
          error ? reject(error) : resolve(),
        ),
      ),
    async reopen() {
      await store.close()
      return open(dir, opened.nowMs + 1, onError)
    },
    async close() {
      await store.close()
      rmSync(dir, { recursive: true, force: true })
    },
  })
}

function packOf(
  device: string,
  values: Record<string, number>,
  atMs: number,
  receivedAtMs: number,
  quality: Quality,
): PlacedPack {
  const readings = Object.entries(values).map(
    ([channel, value]) =>
      ({ channel, quantity: channel, unit: '', value, quality, atMs }) as unknown as Reading,
  )
  return { device, boot: null, seq: null, receivedAtMs, readings }
}
