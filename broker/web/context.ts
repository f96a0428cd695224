import type { IncomingMessage } from 'node:http'
import type { Duplex } from 'node:stream'
import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import type { SignInRole } from '../roles.ts'
import type { NewSecret } from '../secrets.ts'
import type { Books } from '../room/books/contract.ts'
import type { TryOutDesk } from '../replay/contract.ts'
import type { SoonerDesk } from '../replay/sooner/contract.ts'
import type { Room } from '../room/contract.ts'
import type { Calibrating } from '../room/calibrating.ts'
import type { Feeding } from '../room/feeding/contract.ts'
import type { HandoverDesk } from '../room/handover/desk.ts'
import type { Guests } from '../room/handover/guests.ts'
import type { TlsSource } from '../tls/source.ts'
import type { Store } from '../store/contract.ts'
import type { Calling } from './calling.ts'
import type { DeviceAdmission } from './device-desk.ts'
import type { DeviceSettings } from './device-settings.ts'
import type { OthersSensors } from './others-sensors.ts'
import type { PhoneBook } from './phone-book.ts'
import type { Watcher } from './watcher.ts'

/** Counts since the start of the process, for `/metrics`. */
export interface IntakeCounts {
  readonly packs: number
  readonly readings: number
  /** Packs that were seen before and dropped. */
  readonly repeats: number
  readonly quarantined: Readonly<Record<string, number>>
  /** Messages acknowledged. */
  readonly acks?: number
  /** Messages that could not be kept and were not acknowledged. */
  readonly notKept?: number
  /** Connections and messages turned away, by why. */
  readonly refused?: Readonly<Record<string, number>>
  /** Devices connected now. */
  readonly clients?: number
}

/** All that the web stands on. */
export interface WebOptions {
  readonly room: Room
  readonly books: Books
  readonly store: Store
  readonly calling: Calling
  readonly phones: PhoneBook
  /** The feeding plan. Without it its routes are not there. */
  readonly feeding?: Feeding
  readonly tryOuts: TryOutDesk
  readonly sooner: SoonerDesk
  readonly watcher: Watcher
  readonly deviceSettings: DeviceSettings
  readonly devices: DeviceAdmission
  readonly calibrating: Calibrating
  readonly others: OthersSensors
  readonly clock: Clock
  /** Batches that were brought in from elsewhere. */
  readonly guests: Guests
  /** Where files of batches are read and written. */
  readonly files: HandoverDesk
  /** How many times faster than real time `clock` runs: 1, but for a demo. */
  readonly clockSpeed: number
  /** Where the built dashboard lies; it need not exist yet. */
  readonly dashboardDir: string
  /** Without it, only loopback addresses are listened on, and only requests that name this machine are served. */
  readonly signIn: boolean
  /** Origins served besides the service's own, such as a proxy's: `https://hatch.example`. */
  readonly allowedOrigins?: readonly string[]
  /** The pages are encrypted with this; left out, they are not. */
  readonly tls?: TlsSource & { readonly authority: string | null }
  readonly logger: Pick<Logger, 'info' | 'warn' | 'error'>
  readonly intakeStats: () => IntakeCounts
  /** Held at once, those of the live feed and of MQTT over WebSocket among them; one more is closed unread. */
  readonly maxConnections?: number
  /** Takes over a WebSocket that speaks MQTT, as a byte stream. Without it `/mqtt` is not there. */
  readonly mqttSocket?: (stream: Duplex, request: IncomingMessage) => void
  /** One sentence for each thing that keeps the service from its work; empty when all is well. */
  readonly ailments?: () => readonly string[]
  /** What the pages tell somebody who connects a device. */
  readonly connect?: () => { readonly mqttPort: number | null; readonly dataDir: string }
  readonly newSecret?: NewSecret
}

/** On whose behalf a request acts. */
export interface Identity {
  /** A bearer token's name, or that of a person; `null` for the owner and where nobody signs in. */
  readonly name: string | null
  /** The hash of the session's secret; `null` when there is no session. */
  readonly session: string | null
  readonly role: SignInRole
}

/** What a request carries through the app. `incoming` is there unless a test calls the app in memory. */
export interface WebEnv {
  Bindings: { incoming?: IncomingMessage }
  Variables: {
    identity: Identity | null
    /** What a route acts on, for the audit log, where its path does not say. */
    subject?: string
  }
}
