import type { Logger } from 'pino'
import type { DeviceConfig } from '../../firmware-protocol/device-config.ts'
import { TopicKind } from '../../firmware-protocol/topics.ts'
import type { Room } from '../room/contract.ts'
import type { ConfigBook } from './config-book.ts'
import { RetainedPost } from './retained-post.ts'

export interface DeviceConfigPostOptions {
  readonly room: Pick<Room, 'onChange'>
  readonly book: Pick<ConfigBook, 'of' | 'has' | 'devices'>
  /** Publishes with retain. Rejects while the broker is out of reach. */
  readonly publish: (topic: string, payload: string) => Promise<void>
  readonly logger: Pick<Logger, 'warn'>
  readonly everyMs?: number
  readonly retryMs?: number
}

export interface DeviceConfigPost {
  /** To be called when a device's settings were changed. */
  changed(device: string): void
  /** Tells every device its settings: at the start, and when the broker may have forgotten. */
  tellAll(): void
  /** Stops telling. What was told stays retained. */
  close(): void
}

/**
 * Keeps each device's config topic abreast of what a person has set. A device that nobody has set anything for is told nothing.
 * Where a device is revoked its retained message goes; if one of its name comes again, it is told again.
 */
export function createDeviceConfigPost(options: DeviceConfigPostOptions): DeviceConfigPost {
  const { room, book } = options
  /** Whose message was taken back, because they may no longer speak. */
  const revoked = new Set<string>()
  const post = new RetainedPost<DeviceConfig>({
    ...options,
    kind: TopicKind.config,
    wanted: () => device => (book.has(device) ? book.of(device) : null),
    same: (one, other) => one.revision === other.revision,
    inVain: 'devices cannot be told their settings; trying on',
  })
  const stop = room.onChange(change => {
    if (change.kind === 'device-removed') forget(change.device)
    if (change.kind !== 'device') return
    const { name, revokedAtMs } = change.device.row
    if (revokedAtMs !== null) forget(name)
    else if (revoked.delete(name)) post.mark(name)
  })

  function forget(device: string): void {
    if (!book.has(device) || revoked.has(device)) return
    revoked.add(device)
    post.mark(device, { gone: true })
  }

  return {
    changed: device => post.mark(device),
    tellAll() {
      for (const device of book.devices) if (!revoked.has(device)) post.mark(device, { anew: true })
    },
    close() {
      stop()
      post.close()
    },
  }
}
