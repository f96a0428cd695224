import type { Heartbeat } from './api/heartbeat.ts'

/** What the web needs of whatever tells a watcher outside that the service is well: it does not know how that is done. */
export interface Watcher {
  now(): HeartbeatNow
  /** @throws RoomError of kind `invalid` that names the field. */
  change(settings: NonNullable<Heartbeat['settings']> | null): Promise<HeartbeatNow>
  tryNow(): Promise<{ readonly arrived: boolean; readonly words: string }>
}

export interface HeartbeatNow extends Readonly<Omit<Heartbeat, 'lastBeatAt' | 'ailments'>> {
  readonly lastBeatAtMs: number | null
  readonly ailments: readonly string[]
}
