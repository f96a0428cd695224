import { AlarmState, Priority, RuleName, type Alarm } from '../rules/alarm.ts'
import { Occasion, type ChannelKind } from './contract.ts'
import { withinHours } from './hours.ts'
import type { Address, NotifySettings, Person } from './people.ts'

/** Clocks are read a little apart; more than this ahead is a clock that was set back since, ms. */
const SET_BACK_MS = 5000

/** Of one alarm: since when somebody is wanted for it, and who was told of it. */
export interface Telling {
  readonly alarmId: string
  /** When it first needed somebody, Unix ms by our own clock: a backlog's alarm is as new to people as any other. */
  readonly beganAtMs: number
  /**
   * The call that people are being asked to answer since then. An alarm that somebody answered, or set aside, and that comes back asks
   * anew: those who were told before that are told again in their turn. Left out for the first time.
   */
  readonly fromCallMs?: number
  /** Nobody is wanted now: somebody answered, or it was set aside. */
  readonly answered?: boolean
  /** When somebody was last told, Unix ms by our own clock, and how many times all were told over again since. */
  readonly toldAtMs?: number
  readonly round?: number
  /** Who was told of which call (the alarm's `announcedAtMs`), and by which of their addresses. */
  readonly told: readonly Told[]
}
export interface Told {
  readonly personId: string
  readonly callMs: number
  readonly addressIds: readonly string[]
  /** Of these, the ones by which this call could not be delivered and will not be. */
  readonly deafIds?: readonly string[]
}

/** One message to be sent to one address. */
export interface Planned {
  readonly person: Person
  readonly address: Address
  readonly occasion: Occasion
}

/** What is known of the channels. */
export interface ChannelsNow {
  /** Those that there are at all: built in, and set up. */
  readonly usable: ReadonlySet<ChannelKind>
  /** Those that do not deliver now. */
  readonly failing: ReadonlySet<ChannelKind>
}

const RANK: Readonly<Record<Priority, number>> = {
  [Priority.low]: 0,
  [Priority.high]: 1,
  [Priority.critical]: 2,
}

/**
 * Nobody answers: after so long all who were told are told once more, and so on, ms. Own choice: a phone that lies in another room, or
 * a person in the shower, is found at the second ring; what is less urgent wakes nobody four times an hour. `null`: never.
 */
const AGAIN_AFTER_MS: Readonly<Record<Priority, number | null>> = {
  [Priority.low]: null,
  [Priority.high]: 60 * 60_000,
  [Priority.critical]: 15 * 60_000,
}
/** No more rounds than this of one call: a day of the most urgent. Whoever has not answered by then is away. */
export const MOST_ROUNDS = 96

/** Whether somebody is wanted: it calls, and nobody has answered. */
export const wantsSomebody = ({ state, announcedAtMs }: Alarm): boolean =>
  announcedAtMs !== null && (state === AlarmState.unacknowledged || state === AlarmState.latched)

/** Whether it is over for those who were called. A shelved or suppressed alarm is not: somebody saw to it. */
export const isOver = ({ state }: Alarm): boolean =>
  state === AlarmState.normal || state === AlarmState.returnedUnacknowledged

/**
 * Who is to be told of an alarm now, and by what, given who was told before. Asked again and again while the alarm stands: so
 * it also finds those whose hours have begun, or whose turn has come because nobody answered.
 *
 * People are called in the order of their `afterMinutes`. If nobody who may be called at this hour comes at once, the first of
 * them does: minutes count from the first who can be called. Whoever turns out not to be reached by any address counts as one who
 * cannot: the next is called at once.
 */
export function plan(
  alarm: Alarm,
  telling: Telling,
  settings: NotifySettings,
  channels: ChannelsNow,
  nowMs: number,
): Planned[] {
  const { announcedAtMs: callMs } = alarm
  if (callMs === null || !wantsSomebody(alarm)) return []
  const again = isAgain(alarm, telling, nowMs)
  const told = new Map(telling.told.map(each => [each.personId, again ? -Infinity : each.callMs]))
  const { fromCallMs = -Infinity } = telling
  const asked = new Set(telling.told.filter(each => each.callMs >= fromCallMs).map(each => each.personId))
  const callable = settings.people
    .map(person => ({ person, addresses: addressesFor(person, alarm, channels) }))
    .filter(({ person, addresses }) => addresses.length > 0 && mayBeCalled(person, alarm.priority, nowMs))
  const unreached = new Set(telling.told.filter(each => isUnreached(each, callMs)).map(each => each.personId))
  const first = Math.min(
    ...callable.filter(({ person }) => !unreached.has(person.id)).map(({ person }) => person.afterMinutes),
  )
  // Begun at a time that is still to come: the clock was set back, and nobody knows how long ago it was. Rather all than too few.
  const passedMs = nowMs - telling.beganAtMs
  const passedMinutes = passedMs < -SET_BACK_MS ? Infinity : passedMs / 60_000
  // An alarm that has become worse since its call opens addresses that are kept for what is so urgent.
  const isWorse = typeof alarm.worseSinceMs === 'number'
  const louder = (person: Person, addresses: readonly Address[]): Address[] => {
    const used = telling.told.find(({ personId }) => personId === person.id)?.addressIds ?? []
    return isWorse && !again ? addresses.filter(({ id }) => !used.includes(id)) : []
  }
  return callable
    .map(({ person, addresses }) => ({
      person,
      addresses: told.get(person.id) === callMs ? louder(person, addresses) : addresses,
    }))
    .filter(
      ({ person, addresses }) =>
        addresses.length > 0 && (asked.has(person.id) || passedMinutes >= person.afterMinutes - first),
    )
    .flatMap(({ person, addresses }) => {
      return addresses.map(address => ({ person, address, occasion: occasionOf(person) }))
    })

  function occasionOf({ id, afterMinutes }: Person): Occasion {
    if (asked.has(id)) return Occasion.again
    if (afterMinutes > first) return Occasion.escalated
    return told.has(id) ? Occasion.again : Occasion.raised
  }
}

/** Whether everybody is told once more, because nobody has answered for long. */
export function isAgain({ priority, announcedAtMs }: Alarm, telling: Telling, nowMs: number): boolean {
  const { toldAtMs, round = 0, told } = telling
  const afterMs = AGAIN_AFTER_MS[priority]
  if (afterMs === null || toldAtMs === undefined || round >= MOST_ROUNDS) return false
  // Only once this very call was told: a new one has its own turn.
  if (!told.some(({ callMs }) => callMs === announcedAtMs)) return false
  return Math.abs(nowMs - toldAtMs) >= afterMs
}

/** What is remembered once nobody is wanted any more though the alarm is not over. */
export const withAnswer = (telling: Telling): Telling =>
  telling.answered === true ? telling : { ...telling, answered: true }

/** What is remembered when an alarm calls: after an answer it asks anew, and minutes count from this call. */
export function withCall(telling: Telling, callMs: number, nowMs: number): Telling {
  if (telling.answered !== true) return telling
  const { alarmId, told } = telling
  return { alarmId, told, beganAtMs: nowMs, fromCallMs: callMs, round: 0 }
}

/** Those who were called of what is now over, by the addresses they were called by, as far as they still have them. */
export function planOver(telling: Telling, settings: NotifySettings, channels: ChannelsNow): Planned[] {
  if (!settings.tellWhenOver) return []
  const by = new Set(
    telling.told.flatMap(({ personId, addressIds }) => addressIds.map(id => `${personId} ${id}`)),
  )
  return settings.people.flatMap(person =>
    person.addresses
      .filter(address => by.has(`${person.id} ${address.id}`) && channels.usable.has(address.kind))
      .map(address => ({ person, address, occasion: Occasion.over })),
  )
}

/**
 * Who is reminded of what has been due since a moment: within their hours, by addresses that they chose for it before it was due,
 * over channels that wake nobody. In turn, as with alarms: who comes after some minutes hears of it when nobody has done it by then.
 */
export function planReminder(
  settings: NotifySettings,
  quiet: ReadonlySet<ChannelKind>,
  dueSinceMs: number,
  nowMs: number,
): Planned[] {
  const wanted = settings.people
    .filter(person => withinHours(person.hours, nowMs))
    .map(person => ({
      person,
      addresses: person.addresses.filter(({ kind, reminders }) => reminders && quiet.has(kind)),
    }))
    .filter(({ addresses }) => addresses.length > 0)
  const first = Math.min(...wanted.map(({ person }) => person.afterMinutes))
  return wanted
    .filter(({ person }) => nowMs - dueSinceMs >= (person.afterMinutes - first) * 60_000)
    .flatMap(({ person, addresses }) =>
      addresses
        .filter(({ remindedSinceMs = -Infinity }) => remindedSinceMs <= dueSinceMs)
        .map(address => ({ person, address, occasion: Occasion.reminder })),
    )
}

/** What was told of a call, added to what was told before. */
export function withTold(
  telling: Telling,
  callMs: number,
  planned: readonly Planned[],
  nowMs: number,
  again = false,
): Telling {
  if (planned.length === 0) return telling
  const round = (telling.round ?? 0) + (again ? 1 : 0)
  const told = new Map(telling.told.map(each => [each.personId, each]))
  for (const { person, address } of planned) {
    const before = told.get(person.id)
    const addressIds = [...new Set([...(before?.addressIds ?? []), address.id])]
    told.set(person.id, { personId: person.id, callMs, addressIds })
  }
  return { ...telling, told: [...told.values()], toldAtMs: nowMs, round }
}

/** A delivery of a call was given up: remembered with whom it was for. */
export function withDeaf(telling: Telling, personId: string, addressId: string): Telling {
  const told = telling.told.map(each =>
    each.personId === personId
      ? { ...each, deafIds: [...new Set([...(each.deafIds ?? []), addressId])] }
      : each,
  )
  return { ...telling, told }
}

const isUnreached = ({ callMs, addressIds, deafIds = [] }: Told, nowCallMs: number): boolean =>
  callMs === nowCallMs && addressIds.every(id => deafIds.includes(id))

function mayBeCalled(person: Person, priority: Priority, nowMs: number): boolean {
  return (priority === Priority.critical && person.criticalAnyHour) || withinHours(person.hours, nowMs)
}

/** That a channel fails is told by the others: through itself it would only add to what cannot be delivered. */
function addressesFor(person: Person, alarm: Alarm, { usable, failing }: ChannelsNow): Address[] {
  return person.addresses.filter(
    ({ kind, fromPriority }) =>
      RANK[alarm.priority] >= RANK[fromPriority] &&
      usable.has(kind) &&
      !(alarm.rule === RuleName.channelFailing && failing.has(kind)),
  )
}
