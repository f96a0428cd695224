import { Occasion, type Message } from './contract.ts'

/** What the dashboard's service worker gets to see. Short names are not worth it: it fits one record by far. */
export interface PushPayload {
  readonly about: Message['about']
  readonly occasion: Message['occasion']
  readonly priority: Message['priority']
  readonly title: string
  readonly text: string
  readonly alarmId: string | null
  /** Path and query only: the phone knows by which name it reaches us. */
  readonly acknowledgePath: string | null
  /** The page that a tap opens. */
  readonly openPath: string
  readonly sentAtMs: number
}

/**
 * A push service takes 4,096 bytes at least (RFC 8030 section 7.2), of which encryption needs 103 (RFC 8291 section 4). Phones
 * show far less.
 */
export const MAX_PAYLOAD_BYTES = 3000
const MAX_TEXT = 600
const MAX_TITLE = 150

/** As JSON. Text that is too long even so, such as of odd characters, is cut: a call that says less is better than none. */
export function pushPayload(message: Message, openPath: string): Buffer {
  for (let most = MAX_TEXT; ; most = Math.floor(most / 2)) {
    const payload = Buffer.from(JSON.stringify(payloadOf(message, openPath, most)))
    if (payload.length <= MAX_PAYLOAD_BYTES || most === 0) return payload
  }
}

function payloadOf(message: Message, openPath: string, mostText: number): PushPayload {
  return {
    about: message.about,
    occasion: message.occasion,
    priority: message.priority,
    title: cut(message.title, MAX_TITLE),
    text: cut(message.text, mostText),
    alarmId: message.alarmId,
    acknowledgePath: pathOf(message.acknowledgeUrl),
    openPath,
    sentAtMs: message.sentAtMs,
  }
}

/** How long a push service keeps a message for a phone that is off, s. An alarm is told again anyway, so an old one is no use. */
const KEPT_S: Readonly<Record<Message['occasion'], number>> = {
  [Occasion.raised]: 3600,
  [Occasion.again]: 3600,
  [Occasion.escalated]: 3600,
  [Occasion.over]: 4 * 3600,
  [Occasion.reminder]: 2 * 3600,
  [Occasion.test]: 60,
}

export const keptForS = (message: Message): number => KEPT_S[message.occasion]

/** High wakes a sleeping phone (RFC 8030 section 5.3). */
export const urgencyOf = ({ occasion, priority }: Message): 'high' | 'normal' | 'low' => {
  if (occasion === Occasion.over) return 'normal'
  if (occasion === Occasion.reminder) return 'low'
  return occasion === Occasion.test || priority !== 'low' ? 'high' : 'normal'
}

function pathOf(url: string | null): string | null {
  if (url === null) return null
  const { pathname, search } = new URL(url, 'http://localhost')
  return pathname + search
}

/** Cut so that no character is torn in two. */
function cut(text: string, most: number): string {
  if (text.length <= most) return text
  if (most === 0) return ''
  return `${text.slice(0, most - 1).replace(/[\uD800-\uDBFF]$/, '')}…`
}
