import type { Walk } from './books.ts'
import type { Reminder } from './reminders.ts'
import type { BatchEvent } from './events.ts'
import type { Forecast } from './forecast.ts'
import type { Device } from './devices.ts'
import type { Vessel } from './vessels.ts'
import type { Alarm, Latest, Settings } from './schemas.ts'

/**
 * The live feed, `/api/v1/live`: a WebSocket that first sends a snapshot, then changes. Each message carries a cursor;
 * a client that comes back with `?since=<cursor>` gets the changes it missed, or a snapshot when those are no longer held.
 * The client sends nothing.
 */
export type LiveMessage = LiveSnapshot | LiveChanges

export interface LiveSnapshot {
  readonly type: 'snapshot'
  readonly cursor: string
  /** The server's clock, Unix ms, and how many times faster than real time it runs (1, but for a demo). */
  readonly nowMs: number
  readonly clockSpeed: number
  /** What a device or a command needs to know of this service; the port is `null` with an external broker. */
  readonly connect?: { readonly mqttPort: number | null; readonly dataDir: string }
  readonly vessels: readonly Vessel[]
  readonly devices: readonly Device[]
  /** Standing alarms, oldest first. */
  readonly alarms: readonly Alarm[]
  readonly settings: Settings
  /** What is due to be done, oldest first. */
  readonly reminders?: readonly Reminder[]
}

export interface LiveChanges {
  readonly type: 'changes'
  readonly cursor: string
  readonly nowMs: number
  readonly changes: readonly LiveChange[]
}

export type LiveChange =
  /** A new value; every one is sent, so that curves can be drawn from them. `late` ones belong into the past. */
  | {
      readonly kind: 'reading'
      readonly vesselId: string
      readonly channel: 'waterC' | 'upperWaterC' | 'roomC' | 'airLpm' | 'lightLx' | 'levelShare'
      readonly latest: Latest
      readonly late: boolean
    }
  | { readonly kind: 'forecast'; readonly vesselId: string; readonly forecast: Forecast | null }
  /** Something was seen or done with a batch, or taken back. */
  | { readonly kind: 'batch-event'; readonly vesselId: string; readonly event: BatchEvent }
  /** The vessel itself, its channels or its batch changed. */
  | { readonly kind: 'vessel'; readonly vessel: Vessel }
  | { readonly kind: 'vessel-removed'; readonly vesselId: string }
  | { readonly kind: 'alarm'; readonly alarm: Alarm }
  | { readonly kind: 'device'; readonly device: Device }
  | { readonly kind: 'device-removed'; readonly device: string }
  | { readonly kind: 'settings'; readonly settings: Settings }
  /** What is due to be done has changed: all of it, oldest first. */
  | { readonly kind: 'reminders'; readonly reminders: readonly Reminder[] }
  /** The feeding plan was made anew: whoever shows it asks for it. */
  | { readonly kind: 'plan'; readonly computedAtMs: number }
  /** Walked work was begun, a step of it ticked, or something typed into it: all of it as it is by now. */
  | { readonly kind: 'walk'; readonly walk: Walk }
  /** It is under way no more; `batchId`: what it became or was of, `null` for one that was given up. */
  | {
      readonly kind: 'walk-over'
      readonly walkId: string
      readonly vesselId: string
      readonly batchId: string | null
    }
  /** A backlog came in: charts should ask for this vessel's readings again. */
  | { readonly kind: 'backfilled'; readonly vesselId: string; readonly fromMs: number; readonly toMs: number }
