import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import type { TemperatureUnit } from '../hatch/own-unit-first.ts'
import { Quality } from '../intake/reading.ts'
import type { Room, RoomChange } from '../room/contract.ts'
import { AlarmState, RuleName, type Alarm } from '../rules/alarm.ts'
import type { Store } from '../store/contract.ts'
import { LINK_VALID_MS, makeToken } from './acknowledge-token.ts'
import { MessageAbout, Occasion, type ChannelKind, type Message } from './contract.ts'
import { newDelivery, type Delivery } from './delivery.ts'
import type { Outbox } from './outbox.ts'
import type { NotifySettings } from './people.ts'
import {
  isAgain,
  isOver,
  plan,
  planOver,
  wantsSomebody,
  withAnswer,
  withCall,
  withDeaf,
  withTold,
  type ChannelsNow,
  type Planned,
  type Telling,
} from './plan.ts'
import { REMINDED_LOOKED_AT, ReminderPost } from './reminder-post.ts'
import { alarmWords } from './words.ts'

/** Those that are about how warm the water is. */
const WATER_RULES: ReadonlySet<RuleName> = new Set([
  RuleName.waterHeadingHot,
  RuleName.waterTooHot,
  RuleName.waterTooCool,
])

/** What the room finds due so soon after a start, ms, was due before it: only the room had not looked yet. */
const FIRST_LOOK_MS = 15_000

export interface CallerParts {
  readonly room: Pick<Room, 'snapshot' | 'onChange' | 'vessel'>
  readonly store: Pick<Store, 'keepTelling' | 'tellings' | 'deliveries'>
  readonly outbox: Outbox
  readonly clock: Clock
  readonly logger: Pick<Logger, 'error'>
  readonly settings: () => NotifySettings
  readonly channels: () => ChannelsNow & { readonly quiet: ReadonlySet<ChannelKind> }
  readonly linkKey: Buffer
  /** Where people reach the dashboard; `null` when there is no such address. */
  readonly baseUrl: () => string | null
  /** The clock of people who named no zone. */
  readonly zone: string
}

/** Tells people of alarms: decides by the plan, remembers who was told, and puts what is to be sent into the outbox. */
export class Caller {
  readonly #parts: CallerParts
  readonly #standing = new Map<string, Alarm>()
  readonly #tellings = new Map<string, Telling>()
  readonly #reminders = new ReminderPost()
  #beganMs = -Infinity

  constructor(parts: CallerParts) {
    this.#parts = parts
  }

  /** Takes up what an earlier run left, and follows the room from now on. Answers how to stop. */
  async follow(): Promise<() => void> {
    const { room, store } = this.#parts
    for (const { json } of await store.tellings()) {
      const telling = JSON.parse(json) as Telling
      this.#tellings.set(telling.alarmId, telling)
    }
    this.#reminders.restore(await store.deliveries(REMINDED_LOOKED_AT))
    this.#beganMs = this.#parts.clock()
    const stop = room.onChange(change => this.#hear(change))
    const { alarms, reminders = [] } = room.snapshot()
    this.#reminders.due(reminders, -Infinity)
    const standing = new Map(alarms.map(alarm => [alarm.id, alarm]))
    for (const id of [...this.#tellings.keys()].filter(each => !standing.has(each))) this.#forget(id)
    for (const alarm of standing.values()) this.#look(alarm)
    return stop
  }

  /** Looks again at every alarm that stands: hours begin, and answers fail to come. */
  tick(): void {
    for (const alarm of this.#standing.values()) if (wantsSomebody(alarm)) this.#look(alarm)
    this.#remind()
  }

  /** Somebody was not reached by one of their addresses: the next may have to be called now. */
  givenUp({ message, personId, addressId }: Delivery): void {
    const telling = message.alarmId === null ? undefined : this.#tellings.get(message.alarmId)
    if (telling === undefined || message.occasion === Occasion.over) return
    this.#remember(withDeaf(telling, personId, addressId))
    const alarm = this.#standing.get(telling.alarmId)
    if (alarm !== undefined && wantsSomebody(alarm)) this.#look(alarm)
  }

  /** Tells of what is due whoever is to hear of it now and has not yet. */
  #remind(): void {
    const { outbox, settings, channels, clock } = this.#parts
    outbox.add(
      this.#reminders.take({
        settings: settings(),
        quiet: channels().quiet,
        nowMs: clock(),
        unit: this.#unit,
        page: path => this.#page(path),
      }),
    )
  }

  #hear(change: RoomChange): void {
    if (change.kind === 'alarm') return this.#look(change.alarm)
    if (change.kind !== 'reminders') return
    const nowMs = this.#parts.clock()
    const isFirstLook = Math.abs(nowMs - this.#beganMs) < FIRST_LOOK_MS
    this.#reminders.due(change.reminders, isFirstLook ? -Infinity : nowMs)
    this.#remind()
  }

  #look(alarm: Alarm): void {
    if (alarm.state === AlarmState.normal) this.#standing.delete(alarm.id)
    else this.#standing.set(alarm.id, alarm)
    if (isOver(alarm)) this.#over(alarm)
    else if (wantsSomebody(alarm)) this.#call(alarm, alarm.announcedAtMs ?? alarm.raisedAtMs)
    else this.#answered(alarm)
  }

  #answered(alarm: Alarm): void {
    this.#parts.outbox.withdraw(alarm.id, whyNoLonger(alarm))
    const telling = this.#tellings.get(alarm.id)
    if (telling !== undefined && telling.answered !== true) this.#remember(withAnswer(telling))
  }

  #call(alarm: Alarm, callMs: number): void {
    const { clock, settings, channels, outbox } = this.#parts
    const nowMs = clock()
    const before = this.#tellings.get(alarm.id)
    const telling =
      before === undefined
        ? { alarmId: alarm.id, beganAtMs: nowMs, told: [] }
        : withCall(before, callMs, nowMs)
    const planned = plan(alarm, telling, settings(), channels(), nowMs)
    if (before === telling && planned.length === 0) return
    const after = withTold(telling, callMs, planned, nowMs, isAgain(alarm, telling, nowMs))
    this.#remember(after)
    outbox.add(planned.map(each => this.#alarmDelivery(alarm, callMs, each, nowMs, after.round)))
  }

  #over(alarm: Alarm): void {
    const { settings, channels, outbox, clock } = this.#parts
    const never = outbox.withdraw(alarm.id, 'It was over before this got through')
    const telling = this.#tellings.get(alarm.id)
    if (telling === undefined) return
    const nowMs = clock()
    const planned = planOver(telling, settings(), channels()).filter(
      ({ person, address }) => !never.has(`${person.id} ${address.id}`),
    )
    this.#forget(alarm.id)
    outbox.add(planned.map(each => this.#alarmDelivery(alarm, alarm.clearedAtMs ?? nowMs, each, nowMs)))
  }

  #alarmDelivery(alarm: Alarm, callMs: number, planned: Planned, nowMs: number, round = 0): Delivery {
    const { person, address, occasion } = planned
    return toDelivery(planned, {
      // The same call told once more is another message: with the same name it would be taken for a repeat.
      id: [alarm.id, callMs, occasion, person.id, address.id, ...(round > 0 ? [round] : [])].join('.'),
      about: MessageAbout.alarm,
      occasion,
      alarmId: alarm.id,
      rule: alarm.rule,
      ...alarmWords(alarm, this.#where(alarm), occasion, {
        saidMs: Math.max(callMs, alarm.saidAtMs ?? callMs),
        nowMs,
        zone: person.hours?.zone ?? this.#parts.zone,
        water: this.#waterOf(alarm),
        unit: this.#unit,
      }),
      priority: alarm.priority,
      acknowledgeUrl: occasion === Occasion.over ? null : this.#link(alarm, person.id, nowMs),
      openUrl: this.#page(alarm.vesselId === null ? '/' : `/vessel/${encodeURIComponent(alarm.vesselId)}`),
      sentAtMs: nowMs,
    })
  }

  /** The house's choice: a message is read by whoever carries the phone. */
  get #unit(): TemperatureUnit {
    return this.#parts.room.snapshot().settings.temperatureUnit
  }

  #where({ vesselId }: Alarm): string | null {
    if (vesselId === null) return null
    try {
      return this.#parts.room.vessel(vesselId).row.name
    } catch {
      return null // The vessel was taken out of the room meanwhile.
    }
  }

  /** Of alarms about the water's warmth alone: beside any other it would be no news. */
  #waterOf({ vesselId, rule }: Alarm): { atMs: number; value: number } | null {
    if (vesselId === null || !WATER_RULES.has(rule)) return null
    try {
      const { water } = this.#parts.room.vessel(vesselId).latest
      if (water === null || water.value === null || water.quality !== Quality.good) return null
      return { atMs: water.atMs, value: water.value }
    } catch {
      return null // The vessel was taken out of the room meanwhile.
    }
  }

  /** A page of the dashboard as people reach it. */
  #page(path: string): string | null {
    const base = this.#parts.baseUrl()
    return base === null ? null : `${base.replace(/\/+$/, '')}${path}`
  }

  #link(alarm: Alarm, personId: string, nowMs: number): string | null {
    if (this.#parts.baseUrl() === null) return null
    const token = makeToken(this.#parts.linkKey, {
      alarmId: alarm.id,
      personId,
      untilMs: nowMs + LINK_VALID_MS,
    })
    return this.#page(`/a/${token}`)
  }

  #remember(telling: Telling): void {
    this.#tellings.set(telling.alarmId, telling)
    this.#keep(telling.alarmId, JSON.stringify(telling))
  }

  #forget(alarmId: string): void {
    if (this.#tellings.delete(alarmId)) this.#keep(alarmId, null)
  }

  #keep(alarmId: string, json: string | null): void {
    this.#parts.store
      .keepTelling({ alarmId, json })
      .catch((error: unknown) => this.#parts.logger.error({ err: error }, 'keeping who was told failed'))
  }
}

function toDelivery({ person, address }: Planned, message: Message): Delivery {
  return newDelivery(message, { personId: person.id, addressId: address.id, kind: address.kind })
}

function whyNoLonger(alarm: Alarm): string {
  switch (alarm.state) {
    case AlarmState.acknowledged:
    case AlarmState.latchedAcknowledged:
      return `Answered by ${alarm.acknowledgedBy ?? 'somebody'} before this got through`
    case AlarmState.shelved:
      return 'Put off before this got through'
    case AlarmState.outOfService:
      return 'Taken out of service before this got through'
    default:
      return 'Of no more use before this got through'
  }
}
