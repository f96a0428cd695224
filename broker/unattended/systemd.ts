import { spawn } from 'node:child_process'

/** The part of the environment by which systemd says that it wants to hear: see sd_notify(3) and sd_watchdog_enabled(3). */
export interface SystemdEnvironment {
  readonly NOTIFY_SOCKET?: string | undefined
  readonly WATCHDOG_USEC?: string | undefined
  readonly WATCHDOG_PID?: string | undefined
}

export interface Systemd {
  /** The service is ready to be used. */
  ready(): void
  /** The service is stopping of its own will. */
  stopping(): void
  /** To be called now and then: tells that the service does its work, if it does, as often as systemd wants to hear. */
  tick(): void
}

export interface SystemdParts {
  readonly env: SystemdEnvironment
  readonly pid: number
  /** A clock that is never set, ms. */
  readonly monotonicMs: () => number
  /** What keeps the service from its work in a way that starting anew may mend; `null` when it does its work. */
  readonly ailment: () => Promise<string | null>
  readonly logger: { warn(fields: object, text: string): void }
  /** Passes lines such as READY=1 on; by systemd-notify when left out. */
  readonly send?: (line: string) => void
}

/**
 * Tells systemd that the service runs, and goes on telling it as long as the service does its work; when the word stays away for
 * WatchdogSec, systemd starts it anew. Without systemd all of it does nothing.
 *
 * Node has no datagram sockets of the kind that systemd listens on, so its own small program passes the word on.
 */
export function createSystemd(parts: SystemdParts): Systemd {
  const { env, pid, monotonicMs, ailment, logger } = parts
  const wanted = env.NOTIFY_SOCKET !== undefined && env.NOTIFY_SOCKET !== ''
  const send = parts.send ?? (line => systemdNotify(line, logger))
  const forUs = env.WATCHDOG_PID === undefined || Number(env.WATCHDOG_PID) === pid
  const watchdogMs = Number(env.WATCHDOG_USEC ?? 0) / 1000
  // Twice within its time, as sd_watchdog_enabled(3) advises.
  const everyMs = wanted && forUs && watchdogMs > 0 ? watchdogMs / 2 : null
  let nextMs = 0
  let asking = false
  let lastAilment: string | null = null

  return {
    ready: () => wanted && send('READY=1'),
    stopping: () => wanted && send('STOPPING=1'),
    tick() {
      if (everyMs === null || asking || monotonicMs() < nextMs) return
      asking = true
      nextMs = monotonicMs() + everyMs
      void ailment()
        .then(
          found => found,
          (error: unknown) => String(error),
        )
        .then(found => {
          asking = false
          if (found === null) send('WATCHDOG=1')
          else if (found !== lastAilment) logger.warn({ found }, 'the watchdog is not told that all is well')
          lastAilment = found
        })
    },
  }
}

function systemdNotify(line: string, logger: SystemdParts['logger']): void {
  const child = spawn('systemd-notify', [line], { stdio: 'ignore' })
  child.on('error', error => logger.warn({ err: error }, 'systemd could not be told'))
  child.unref()
}
