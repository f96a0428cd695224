import { PATTERNS } from '../alarm/tones.ts'
import type { NoticeOptions } from './scope.ts'

/** What a push message holds, as the broker writes it. A newer or older broker may write other words for the closed sets. */
export interface Push {
  readonly about: string
  readonly occasion: string
  readonly priority: string
  readonly title: string
  readonly text: string
  readonly alarmId: string | null
  readonly acknowledgePath: string | null
  readonly openPath: string
  readonly sentAtMs: number
}

/** What a notice remembers for the tap that comes later. */
export interface NoticeData {
  readonly openPath: string
  readonly acknowledgePath: string | null
  readonly tag: string
  readonly title: string
}

export const ACKNOWLEDGE = 'acknowledge'
/**
 * Reads a push message. A message that cannot be read is shown all the same, as a call to look: browsers take away the permission
 * of a page that was pushed to and showed nothing, and an alarm must not be lost to a change of format.
 */
export function readPush(text: string | null, nowMs: number): Push {
  const {
    about,
    occasion,
    priority,
    title,
    text: words,
    alarmId,
    acknowledgePath,
    openPath,
    sentAtMs,
  } = objectOf(text)
  return {
    about: stringOr(about, 'alarm'),
    occasion: stringOr(occasion, 'raised'),
    priority: stringOr(priority, 'high'),
    title: stringOr(title, 'Look at the fish room'),
    text: stringOr(words, 'Something was told that this screen could not read.'),
    alarmId: typeof alarmId === 'string' ? alarmId : null,
    acknowledgePath: pathOr(acknowledgePath, null),
    openPath: pathOr(openPath, null) ?? '/',
    sentAtMs: typeof sentAtMs === 'number' && Number.isFinite(sentAtMs) ? sentAtMs : nowMs,
  }
}

/** How a message is shown. One notice for each alarm: what comes later about it takes the place of what came before. */
export function noticeOf(push: Push): { title: string; options: NoticeOptions } {
  const tag = push.alarmId === null ? `${push.about}-${push.sentAtMs}` : `alarm-${push.alarmId}`
  const quiet = push.occasion === 'over' || push.occasion === 'reminder'
  // As the open page shakes, so that a pocket tells them apart alike.
  const { shake } =
    push.priority === 'critical' || push.priority === 'low' ? PATTERNS[push.priority] : PATTERNS.high
  const data: NoticeData = {
    openPath: push.openPath,
    acknowledgePath: push.acknowledgePath,
    tag,
    title: push.title,
  }
  return {
    title: push.title,
    options: {
      body: push.text,
      tag,
      // Called again, it sounds again, though it takes the place of a notice that is still there.
      renotify: !quiet,
      requireInteraction: push.priority === 'critical' && !quiet,
      silent: quiet,
      // A silent notice with a pattern is refused (Notifications API, creating a notification).
      ...(quiet ? {} : { vibrate: shake }),
      timestamp: push.sentAtMs,
      icon: '/icons/cone-192.png',
      badge: '/icons/badge-96.png',
      lang: 'en',
      data,
      actions: push.acknowledgePath === null || quiet ? [] : [{ action: ACKNOWLEDGE, title: 'Acknowledge' }],
    },
  }
}

/** What to say when the acknowledgement did not get through: the person believes it did, so this must sound. */
export function notAcknowledged(data: NoticeData, nowMs: number): { title: string; options: NoticeOptions } {
  const shown = noticeOf({
    about: 'alarm',
    occasion: 'again',
    priority: 'critical',
    title: `Not acknowledged: ${data.title}`,
    text: 'The broker could not be reached, so others will still be called. Try again, or open the page.',
    alarmId: null,
    acknowledgePath: data.acknowledgePath,
    openPath: data.openPath,
    sentAtMs: nowMs,
  })
  return { ...shown, options: { ...shown.options, tag: data.tag, data: { ...data } } }
}

/** The data of a notice, which may have been shown by an older worker. */
export function readData(value: unknown): NoticeData {
  const { openPath, acknowledgePath, tag, title } = (
    typeof value === 'object' && value !== null ? value : {}
  ) as Record<string, unknown>
  return {
    openPath: pathOr(openPath, null) ?? '/',
    acknowledgePath: pathOr(acknowledgePath, null),
    tag: stringOr(tag, 'alarm'),
    title: stringOr(title, ''),
  }
}

function objectOf(text: string | null): Record<string, unknown> {
  try {
    const value: unknown = JSON.parse(text ?? '')
    return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {}
  } catch {
    return {}
  }
}

const stringOr = (value: unknown, other: string): string =>
  typeof value === 'string' && value !== '' ? value : other

/** A path on our own origin. "//elsewhere" would be another's. */
function pathOr(value: unknown, other: null): string | null {
  return typeof value === 'string' && /^\/(?![/\\])/.test(value) ? value : other
}
