import { callAddress } from '../http-call.ts'
import type { HeartbeatSettings } from './settings.ts'

/** What a POST tells. A GET tells the same by being made at all, and by its address. */
export interface BeatBody {
  readonly status: 'ok' | 'ailing'
  /** A sentence each; empty when all is well. */
  readonly ailments: readonly string[]
  /** How long it takes until the next, if all goes well. */
  readonly everyMinutes: number
  readonly at: string
}

/**
 * Calls the watcher once: its address when all is well, else the one for trouble.
 * @throws DeliveryError
 */
export async function callWatcher(
  { url, method, everyMinutes }: HeartbeatSettings,
  ailments: readonly string[],
  nowMs: number,
  signal: AbortSignal,
): Promise<void> {
  const address = ailments.length === 0 ? url : troubleAddress(url)
  if (method === 'GET') return callAddress(address, { method, headers: {} }, signal)
  const body: BeatBody = {
    status: ailments.length === 0 ? 'ok' : 'ailing',
    ailments,
    everyMinutes,
    at: new Date(nowMs).toISOString(),
  }
  const headers = { 'Content-Type': 'application/json' }
  return callAddress(address, { method, headers, body: JSON.stringify(body) }, signal)
}

/** `/fail` behind the path; what follows the path stays. */
export function troubleAddress(url: string): string {
  const address = new URL(url)
  address.pathname = `${address.pathname.replace(/\/+$/, '')}/fail`
  return address.href
}
