import { createHash } from 'node:crypto'
import { ownUnitFirst, type TemperatureUnit } from '../hatch/own-unit-first.ts'
import { reminderPage } from '../room/reminder-page.ts'
import { Priority } from '../rules/alarm.ts'
import type { Reminder } from '../rules/reminders.ts'
import type { DeliveryRow } from '../store/contract.ts'
import { MessageAbout, Occasion, type ChannelKind, type Message } from './contract.ts'
import { fromRow, newDelivery, type Delivery } from './delivery.ts'
import type { NotifySettings } from './people.ts'
import { planReminder, type Planned } from './plan.ts'
import { oneLine } from './words.ts'

/** Of how many reminders it is known that somebody was told; after a restart the store is asked, which keeps fewer deliveries. */
export const REMINDED_LOOKED_AT = 10_000
/**
 * Between two messages with reminders to one address there lies so long, ms: what falls due meanwhile is gathered into the next.
 * Own choice: of all that is asked here nothing is lost by a quarter of an hour, and twelve batches that were begun in a row are not twelve
 * messages.
 */
export const GATHER_MS = 15 * 60_000
/** Before that it waits so long for what falls due with it, ms: whoever enters twelve batches does so one after the other. Own choice. */
export const SETTLE_MS = 60_000
/** How many one message names at the most; what is more comes in another. */
export const MOST_NAMED = 30

export interface Reminding {
  readonly settings: NotifySettings
  /** Channels that wake nobody. */
  readonly quiet: ReadonlySet<ChannelKind>
  readonly nowMs: number
  readonly unit: TemperatureUnit
  /** A page of the dashboard as people reach it. */
  readonly page: (path: string) => string | null
}

/** Tells people of what is due, each of each thing once: what falls due together goes into one message to each address. */
export class ReminderPost {
  #due: readonly Reminder[] = []
  /** Since when each has been due as far as people could know: a forecast that moves may make it due in the past. */
  readonly #dueSince = new Map<string, number>()
  readonly #reminded = new Set<string>()
  /** When each address was reminded last, Unix ms, by `person.address`. */
  readonly #lastMs = new Map<string, number>()

  /** Takes up whom an earlier run told of what: its newest deliveries, the newest first. */
  restore(rows: readonly DeliveryRow[]): void {
    for (const row of [...rows].reverse()) {
      if (row.alarmId !== null) continue
      const { message, personId, addressId } = fromRow(row)
      if (message.about !== MessageAbout.reminder) continue
      const to = `${personId}.${addressId}`
      for (const key of message.reminderIds?.map(id => `${id}.${to}`) ?? [message.id]) this.#note(key)
      this.#lastMs.set(to, message.sentAtMs)
    }
  }

  /** What is due now, which was not known before `noticedMs`. */
  due(reminders: readonly Reminder[], noticedMs: number): void {
    const before = new Map(this.#dueSince)
    this.#dueSince.clear()
    for (const { id, dueAtMs } of reminders)
      this.#dueSince.set(id, before.get(id) ?? Math.max(dueAtMs, noticedMs))
    this.#due = reminders
  }

  /** What is to be sent now; it counts as told from here on. */
  take(now: Reminding): Delivery[] {
    const of = new Map<string, { planned: Planned; reminders: Reminder[]; firstMs: number }>()
    for (const reminder of this.#due) {
      const sinceMs = this.#dueSince.get(reminder.id) ?? reminder.dueAtMs
      for (const planned of planReminder(now.settings, now.quiet, sinceMs, now.nowMs)) {
        const to = addressOf(planned)
        if (this.#reminded.has(`${reminder.id}.${to}`) || !this.#isTurn(to, now.nowMs)) continue
        const { reminders, firstMs } = of.get(to) ?? { reminders: [], firstMs: Infinity }
        of.set(to, { planned, reminders: [...reminders, reminder], firstMs: Math.min(firstMs, sinceMs) })
      }
    }
    return [...of].flatMap(([to, { planned, reminders, firstMs }]) => {
      const waitedMs = now.nowMs - firstMs
      if (waitedMs >= 0 && waitedMs < SETTLE_MS) return []
      this.#lastMs.set(to, now.nowMs)
      const deliveries: Delivery[] = []
      for (let at = 0; at < reminders.length; at += MOST_NAMED) {
        const named = reminders.slice(at, at + MOST_NAMED)
        for (const { id } of named) this.#note(`${id}.${to}`)
        deliveries.push(deliveryOf(planned, named, now))
      }
      return deliveries
    })
  }

  /** Whether an address may be told of something now. A last time that lies ahead is of a clock that was set back since. */
  #isTurn(to: string, nowMs: number): boolean {
    const passedMs = nowMs - (this.#lastMs.get(to) ?? -Infinity)
    return passedMs >= GATHER_MS || passedMs < 0
  }

  #note(key: string): void {
    this.#reminded.add(key)
    for (const oldest of this.#reminded) {
      if (this.#reminded.size <= REMINDED_LOOKED_AT) break
      this.#reminded.delete(oldest)
    }
  }
}

const addressOf = ({ person, address }: Planned): string => `${person.id}.${address.id}`

function deliveryOf(planned: Planned, reminders: readonly Reminder[], now: Reminding): Delivery {
  const { person, address } = planned
  const ids = reminders.map(({ id }) => id)
  const [only] = reminders
  const pages = new Set(reminders.map(reminderPage))
  const [page] = pages
  const { title, text } = reminderWords(reminders)
  const message: Message = {
    id: `${ids.length === 1 && only ? only.id : nameOf(ids)}.${addressOf(planned)}`,
    about: MessageAbout.reminder,
    occasion: Occasion.reminder,
    alarmId: null,
    title: oneLine(ownUnitFirst(title, now.unit)),
    text: ownUnitFirst(text, now.unit),
    priority: Priority.low,
    acknowledgeUrl: null,
    openUrl: now.page(pages.size === 1 && page !== undefined ? page : '/'),
    sentAtMs: now.nowMs,
    ...(ids.length > 1 && { reminderIds: ids }),
  }
  return newDelivery(message, { personId: person.id, addressId: address.id, kind: address.kind })
}

/** The same reminders have the same name, whatever their order. */
function nameOf(ids: readonly string[]): string {
  const hash = createHash('sha256').update([...ids].sort().join('\n'))
  return `gathered-${hash.digest('hex').slice(0, 32)}`
}

/** One in its own words; of several first what they are, a line each, then how it is done, each way once. */
export function reminderWords(reminders: readonly Reminder[]): { title: string; text: string } {
  const [only] = reminders
  if (only && reminders.length === 1) return { title: only.title, text: only.text }
  const titles = reminders.map(({ title }) => title)
  const ways = new Map<string, number>()
  for (const { text } of reminders) ways.set(text, (ways.get(text) ?? 0) + 1)
  const how = [...ways.keys()].map(text => {
    const of = reminders.filter(each => each.text === text)
    // Whose way it is need not be said where there is one for all.
    return ways.size === 1 ? text : `${of.map(({ title }) => title).join(', ')}: ${text}`
  })
  return {
    title: `${reminders.length} things to do: ${titles.join(', ')}`,
    text: `${titles.join('\n')}\n\n${how.join('\n')}`,
  }
}
