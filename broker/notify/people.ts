import type { Priority } from '../rules/alarm.ts'
import type { ChannelKind } from './contract.ts'

/** Between which times of day, in which zone. `from` after `to` runs over midnight; both alike is the whole day. */
export interface Hours {
  /** `HH:MM`, 00:00 to 23:59. */
  readonly from: string
  readonly to: string
  /** An IANA zone, like Europe/Vienna. */
  readonly zone: string
}

/** One way to reach one person. */
export interface Address {
  readonly id: string
  readonly kind: ChannelKind
  /** Opaque to everybody but the channel. */
  readonly address: string
  /** What the person calls it: "my phone". */
  readonly label: string
  /** The least priority that is sent here. */
  readonly fromPriority: Priority
  /** Whether reminders are sent here too. */
  readonly reminders: boolean
  /**
   * Since when, Unix ms: who is added, or asks for reminders, is told of what falls due from then on, and not of all that is due
   * already. Left out in addresses that an older version kept: of everything.
   */
  readonly remindedSinceMs?: number
}

/** Somebody who is called. */
export interface Person {
  readonly id: string
  readonly name: string
  /** Called when nobody has answered for so long, minutes; 0 is at once. */
  readonly afterMinutes: number
  /** `null`: at any hour. */
  readonly hours: Hours | null
  /** Whether a critical alarm may come outside the hours. */
  readonly criticalAnyHour: boolean
  readonly addresses: readonly Address[]
}

export interface SmtpSettings {
  readonly host: string
  readonly port: number
  /** `tls` from the first byte, `starttls` and nothing without it, `none` in the clear. */
  readonly security: 'tls' | 'starttls' | 'none'
  readonly user: string | null
  readonly password: string | null
  /** The sender's address. */
  readonly from: string
}

/** Who is called, how, and by what. */
export interface NotifySettings {
  readonly people: readonly Person[]
  /** Whether those who were called are told when it is over. */
  readonly tellWhenOver: boolean
  /** The address of the dashboard as people reach it, for links in messages; `null`: as the service finds it. */
  readonly publicUrl: string | null
  readonly email: SmtpSettings | null
  readonly webhook: {
    /** Signs what is sent; `null`: not signed. */
    readonly secret: string | null
  }
  readonly push: {
    /**
     * Whom a push service may write to about what we send: a `mailto:` or `https:` address (RFC 8292 section 2.1). `null`: the
     * service has none to give, and says so.
     */
    readonly contact: string | null
  }
}

export const PEOPLE_LIMIT = 50
export const ADDRESSES_LIMIT = 10

export const noSettings: NotifySettings = {
  people: [],
  tellWhenOver: true,
  publicUrl: null,
  email: null,
  webhook: { secret: null },
  push: { contact: null },
}
