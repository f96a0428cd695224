import type { Priority, RuleName } from '../rules/alarm.ts'

/** The ways by which a person can be reached. One file each. */
export const ChannelKind = { email: 'email', webhook: 'webhook', push: 'push' } as const
export type ChannelKind = (typeof ChannelKind)[keyof typeof ChannelKind]

/** What a message is about. */
export const MessageAbout = { alarm: 'alarm', reminder: 'reminder', test: 'test' } as const
export type MessageAbout = (typeof MessageAbout)[keyof typeof MessageAbout]

/** Why it is sent now. */
export const Occasion = {
  raised: 'raised',
  /** It stands on, and is told once more. */
  again: 'again',
  /** Nobody answered those who were called before. */
  escalated: 'escalated',
  /** Back to normal: for those who were called. */
  over: 'over',
  reminder: 'reminder',
  test: 'test',
} as const
export type Occasion = (typeof Occasion)[keyof typeof Occasion]

/** What a person is told. */
export interface Message {
  /**
   * The idempotency key: the same for every attempt at one delivery, another for every other delivery. Letters, digits, `-`
   * and `.` only, at most 200, so that it fits a header and a Message-ID as it is.
   */
  readonly id: string
  readonly about: MessageAbout
  readonly occasion: Occasion
  /** The alarm that it is about; the same for `raised`, `again` and `over`, so that a screen can replace one by the other. */
  readonly alarmId: string | null
  /** Which rule it comes of; left out when it is about no alarm, and in messages that an older version kept. */
  readonly rule?: RuleName
  /** What has happened, where, then what to do: fits a subject line. One line, at most 150 characters. */
  readonly title: string
  /** Plain words, several lines perhaps; without the link. */
  readonly text: string
  readonly priority: Priority
  /** Opens a page with one button that acknowledges; works without sign-in. `null` when there is nothing to acknowledge. */
  readonly acknowledgeUrl: string | null
  /**
   * The page of the dashboard on which it is seen to; `null` where nobody knows by which address people reach the dashboard, and
   * left out in messages that an older version kept.
   */
  readonly openUrl?: string | null
  /** The reminders that it tells of, where these are several. */
  readonly reminderIds?: readonly string[]
  /** When it was first to be sent, Unix ms; the same for every attempt. */
  readonly sentAtMs: number
}

/**
 * One way to reach a person. An implementation keeps no queue and does not try again: the outbox does both. Several messages
 * may be under way at once, but only one to each address.
 */
export interface Channel {
  readonly kind: ChannelKind
  /** Whether a reminder may go this way: it arrives without waking anybody. */
  readonly quiet: boolean
  /**
   * Resolves when the other side has taken the message over.
   * @param address What the person's settings hold for this channel, opaque to everybody else: an e-mail address, a URL, or a
   * push subscription as JSON text.
   * @param signal Aborts when the time is up, or the service stops; the promise must then settle at once.
   * @throws DeliveryError in words for the person who looks at the settings. Any other error counts as temporary.
   */
  send(message: Message, address: string, signal: AbortSignal): Promise<void>
  /** Lets go of connections. */
  close?(): void
}

/** What is to be done about a failure. */
export const FailureKind = {
  /** Try again later. */
  temporary: 'temporary',
  /** It will not work however often it is tried: this delivery is given up. */
  permanent: 'permanent',
  /** As permanent, and the address itself is gone: it is taken out of the person's settings. */
  gone: 'gone',
} as const
export type FailureKind = (typeof FailureKind)[keyof typeof FailureKind]

/** A message did not get through. The message of the error is shown to people and logged: it must hold no secret. */
export class DeliveryError extends Error {
  override readonly name = 'DeliveryError'
  readonly failure: FailureKind
  /** How long the other side asks us to wait, ms; `null` when it does not say. */
  readonly retryAfterMs: number | null
  constructor(
    failure: FailureKind,
    message: string,
    more: { retryAfterMs?: number | null; cause?: unknown } = {},
  ) {
    super(message, more.cause === undefined ? {} : { cause: more.cause })
    this.failure = failure
    this.retryAfterMs = more.retryAfterMs ?? null
  }
}
