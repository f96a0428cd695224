import type { Device } from '../../broker/web/api/devices.ts'
import { signalText, WEAK_DBM } from './signal.ts'
import { duration } from './time.ts'

/** One thing to know of a device. `warn`: something wants doing, and the words say what. */
export interface DeviceFact {
  readonly warn: boolean
  readonly words: string
}

/** A restart is news for so long; own choice: a night and a day. */
const NEWS_MS = 24 * 3_600_000
/** So many readings wait while a pack is on its way, and mean nothing. Own choice: some packs of a few channels. */
const FEW_READINGS = 60
/** What the way to it makes uncertain. */
const CLOCK_UNSURE_MS = 2000
/** Own choice: readings are drawn and judged by the second. */
const CLOCK_MS = 5000
/** A board with less cannot take a long message. Own choice: the longest there is has 16 KiB. */
const LITTLE_MEMORY = 24_000

/** Why it restarted: what the protocol names, in words. */
const REASONS: Readonly<Record<string, { words: string; warn: boolean }>> = {
  'brown-out': { words: 'the power dipped. Look at its supply and its plug', warn: true },
  watchdog: { words: 'it hung, and its watchdog woke it. If that goes on, look at its wiring', warn: true },
  software: { words: 'it was told to', warn: false },
  reset: { words: 'its reset was pressed', warn: false },
  'deep-sleep': { words: 'it slept', warn: false },
}

/** What a device says of itself, in plain words, what wants doing first. Nothing of what is as it should be and of no use. */
export function deviceFacts(device: Device, nowMs: number): DeviceFact[] {
  const facts = [
    restart(device, nowMs),
    backlog(device),
    dropped(device),
    signal(device),
    clock(device),
    memory(device),
    password(device, nowMs),
  ].filter(fact => fact !== null)
  return [...facts.filter(({ warn }) => warn), ...facts.filter(({ warn }) => !warn)]
}

function restart({ startedAt, resetReason }: Device, nowMs: number): DeviceFact | null {
  if (startedAt === null) return null
  const upMs = nowMs - Date.parse(startedAt)
  if (upMs >= NEWS_MS) return { warn: false, words: `Up for ${duration(upMs)}` }
  const ago = `${duration(upMs)} ago`
  if (resetReason === 'power-on') return { warn: false, words: `Switched on, or the power came back, ${ago}` }
  if (resetReason === null) return { warn: false, words: `Restarted ${ago}` }
  const { words, warn } = REASONS[resetReason] ?? { words: resetReason, warn: false }
  return { warn, words: `Restarted ${ago}: ${words}` }
}

function backlog({ backlog: waiting, online }: Device): DeviceFact | null {
  if (waiting === null || waiting <= FEW_READINGS) return null
  const count = waiting.toLocaleString('en')
  return online
    ? { warn: false, words: `${count} readings waiting on it; they are coming in` }
    : { warn: true, words: `${count} readings waiting on it, when it was heard last` }
}

function dropped({ dropped: lost }: Device): DeviceFact | null {
  if (!lost) return null
  return {
    warn: true,
    words: `${lost.toLocaleString('en')} readings lost: it was cut off for longer than it can remember`,
  }
}

function signal({ rssiDbm }: Device): DeviceFact | null {
  if (rssiDbm === null) return null
  const warn = rssiDbm < WEAK_DBM
  const words = signalText(rssiDbm)
  const said = `${words[0]!.toUpperCase()}${words.slice(1)}`
  return { warn, words: warn ? `${said}. Move it, or the router, closer` : said }
}

function clock({ clockErrorMs }: Device): DeviceFact | null {
  if (clockErrorMs === null || Math.abs(clockErrorMs) < CLOCK_UNSURE_MS) return null
  const words = `Its clock is ${duration(Math.abs(clockErrorMs))} ${clockErrorMs > 0 ? 'fast' : 'slow'}`
  return Math.abs(clockErrorMs) < CLOCK_MS
    ? { warn: false, words }
    : { warn: true, words: `${words}. Restart it; readings after a power cut may be out of place` }
}

function memory({ freeBytes }: Device): DeviceFact | null {
  if (freeBytes === null || freeBytes >= LITTLE_MEMORY) return null
  return { warn: true, words: `Only ${Math.round(freeBytes / 1000)} kB of memory free` }
}

function password({ newPasswordUntil, revokedAt }: Device, nowMs: number): DeviceFact | null {
  if (newPasswordUntil === null || revokedAt !== null) return null
  const leftMs = Date.parse(newPasswordUntil) - nowMs
  if (leftMs <= 0) return null
  return { warn: true, words: `It has not used its new password yet, which is void in ${duration(leftMs)}` }
}
