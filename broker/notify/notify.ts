import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import type { Room } from '../room/contract.ts'
import type { Store } from '../store/contract.ts'
import { Caller } from './caller.ts'
import { ChannelHealth, type ChannelReport } from './channel-health.ts'
import { ChannelKind, type Channel } from './contract.ts'
import { Desk } from './desk.ts'
import { createEmail } from './email.ts'
import { Outbox } from './outbox.ts'
import type { NotifySettings } from './people.ts'
import { linkKey, loadNotifySettings, saveNotifySettings } from './settings.ts'
import { createWebhook } from './webhook.ts'

export interface NotifyParts {
  readonly store: Store
  readonly room: Room
  readonly clock: Clock
  /** From 0 to 1. */
  readonly random: () => number
  readonly newId: () => string
  readonly logger: Pick<Logger, 'info' | 'warn' | 'error'>
  /** Where people reach the dashboard, as far as the service itself knows. */
  readonly ownUrl: () => string | null
  /** Channels besides e-mail and webhook. */
  readonly channels?: readonly Channel[]
  /** Told when a channel begins to fail, and when it delivers again. */
  readonly onChannel: (report: ChannelReport) => void
}

export interface Notify {
  readonly desk: Desk
  /** Takes up what an earlier run left, and follows the room from now on: once people's links lead somewhere. */
  start(): Promise<void>
  /** To be called about once a second. */
  tick(): void
  /** One sentence for each thing that kept people from being told. */
  ailments(): string[]
  /** Lets what is under way end. The store must still be open. */
  close(): Promise<void>
}

/** Whatever calls the people whom the room's alarms want, once it is started. */
export async function openNotify(parts: NotifyParts): Promise<Notify> {
  const { store, room, clock, logger } = parts
  let settings = await loadNotifySettings(store)
  const key = await linkKey(store)
  const health = new ChannelHealth(parts.onChannel)
  const channels = new Map<string, Channel>(
    [
      createEmail({ settings: () => settings.email }),
      createWebhook({ secret: () => settings.webhook.secret, nowMs: clock }),
      ...(parts.channels ?? []),
    ].map(channel => [channel.kind, channel]),
  )
  const baseUrl = () => settings.publicUrl ?? parts.ownUrl()
  const usable = () => {
    const kinds = new Set([...channels.values()].map(({ kind }) => kind))
    if (settings.email === null) kinds.delete(ChannelKind.email)
    return kinds
  }
  const quiet = () => new Set([...usable()].filter(kind => channels.get(kind)?.quiet))
  /** One change after the other, so that none is made to what another is about to replace. */
  let changing: Promise<unknown> = Promise.resolve()
  const update = (change: (now: NotifySettings) => NotifySettings): Promise<void> => {
    const mine = changing.then(() => save(change(settings)))
    changing = mine.catch(() => undefined)
    return mine
  }
  const save = async (next: NotifySettings): Promise<void> => {
    await saveNotifySettings(store, next)
    settings = next
    health.keepOnly(new Set(next.people.flatMap(({ addresses }) => addresses.map(({ id }) => id))))
    caller.tick()
    outbox.pump()
  }
  const desk = new Desk({
    room,
    store,
    clock,
    newId: parts.newId,
    health,
    channels,
    usable,
    settings: () => settings,
    update,
    baseUrl,
    linkKey: key,
  })
  const outbox = new Outbox({
    store,
    clock,
    random: parts.random,
    logger,
    health,
    channels,
    address: (personId, addressId) =>
      settings.people.find(({ id }) => id === personId)?.addresses.find(({ id }) => id === addressId)
        ?.address,
    onGivenUp: delivery => caller.givenUp(delivery),
    onGone: (personId, addressId) =>
      void desk
        .dropAddress(personId, addressId)
        .catch((error: unknown) =>
          logger.error({ err: error }, 'an address that is gone could not be taken out'),
        ),
  })
  const caller = new Caller({
    room,
    store,
    outbox,
    clock,
    logger,
    settings: () => settings,
    channels: () => ({ usable: usable(), failing: health.failing, quiet: quiet() }),
    linkKey: key,
    baseUrl,
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
  })
  let unfollow: () => void = () => undefined
  return {
    desk,
    async start() {
      await outbox.load()
      unfollow = await caller.follow()
      outbox.pump()
    },
    tick() {
      caller.tick()
      outbox.pump()
    },
    ailments: () =>
      outbox.dropped === 0 ? [] : [`${outbox.dropped} messages to people were dropped: too many waited.`],
    async close() {
      unfollow()
      await outbox.close()
      for (const channel of channels.values()) channel.close?.()
    },
  }
}
