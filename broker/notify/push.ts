import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import type { Room } from '../room/contract.ts'
import type { Channel, Message } from './contract.ts'
import { PushDesk, type PushDeskParts } from './push-desk.ts'
import { loadPushKeys } from './push-keys.ts'
import type { PushRules } from './push-subscription.ts'
import type { DocumentStore } from './settings.ts'
import { createWebPush } from './web-push.ts'

export interface PushParts {
  readonly store: DocumentStore
  readonly room: Pick<Room, 'snapshot'>
  readonly clock: Clock
  readonly logger: Pick<Logger, 'warn' | 'error'>
  readonly rules?: PushRules
}

export interface Push {
  readonly channel: Channel
  /** What the web offers, once there is a desk that keeps people's addresses. */
  deskOver(desk: PushDeskParts['desk']): PushDesk
}

/** Calling phones: the channel, with the service's own keys, and the desk at which phones are added. */
export async function openPush({ store, room, clock, logger, rules = {} }: PushParts): Promise<Push> {
  const keys = await loadPushKeys(store)
  let pushDesk: PushDesk | undefined
  let settings: PushDeskParts['desk']['settings'] | undefined
  const channel = createWebPush({
    ...rules,
    keys,
    clock,
    pageOf: message => pageOf(room, message),
    contact: () => (settings === undefined ? null : contactOf(settings())),
    onGone: address => {
      logger.warn('a phone takes no more calls and was taken out')
      pushDesk
        ?.gone(address)
        .catch((error: unknown) =>
          logger.error({ err: error }, 'a phone that is gone could not be taken out'),
        )
    },
  })
  return {
    channel,
    deskOver(desk) {
      settings = () => desk.settings()
      return (pushDesk = new PushDesk({ store, desk, clock, rules, publicKey: keys.publicKey }))
    },
  }
}

/** What somebody wrote, else the dashboard where it is reached in public. */
function contactOf({ push, publicUrl }: ReturnType<PushDeskParts['desk']['settings']>): string | null {
  return push.contact ?? (publicUrl?.startsWith('https://') ? publicUrl : null)
}

/** A reminder's own page. The page of the alarm's vessel; the whole room for what concerns no vessel, or is over and forgotten. */
function pageOf(room: Pick<Room, 'snapshot'>, { alarmId, openUrl }: Message): string {
  if (alarmId === null) return openUrl ? pathOf(openUrl) : '/'
  const vesselId = room.snapshot().alarms.find(({ id }) => id === alarmId)?.vesselId
  return vesselId ? `/vessel/${encodeURIComponent(vesselId)}` : '/'
}

function pathOf(url: string): string {
  const { pathname, search } = new URL(url, 'http://localhost')
  return pathname + search
}
