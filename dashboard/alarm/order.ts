import type { Alarm } from '../../broker/web/api/schemas.ts'

const RANK: Record<Alarm['priority'], number> = { critical: 0, high: 1, low: 2 }

/** Whether nobody has seen this alarm yet. */
export const isUnseen = ({ state }: Alarm): boolean =>
  state === 'unacknowledged' || state === 'latched' || state === 'return-to-normal-unacknowledged'

/**
 * Whether this alarm still asks for a person. Shelved ones do not; returned ones do until they are seen, latched ones until
 * their reset.
 */
export const needsPerson = (alarm: Alarm): boolean =>
  isUnseen(alarm) || alarm.state === 'latched-acknowledged'

/** Whether it can be set aside for a time: what is latched is let go by its reset. */
export const canBePutOff = ({ state }: Alarm): boolean =>
  state === 'unacknowledged' || state === 'acknowledged' || state === 'return-to-normal-unacknowledged'

/** Whether it should be heard: what has gone away by itself is shown, but no longer sounds. */
export const mustSound = (alarm: Alarm): boolean =>
  (alarm.state === 'unacknowledged' || alarm.state === 'latched') && alarm.acknowledgedAt === null

/**
 * Over by itself and still to be seen, or seen and still to be reset: quieter than what stands. What latches was asked to
 * stay as loud as it was until it is seen.
 */
export const isCalm = ({ state }: Alarm): boolean =>
  state === 'return-to-normal-unacknowledged' || state === 'latched-acknowledged'

/** What is still so and unanswered, then what is over and unanswered, then what somebody has seen. */
const pressing = (alarm: Alarm): number => (needsPerson(alarm) ? (isCalm(alarm) ? 1 : 0) : 2)

/** How an alarm looks in the bar: its priority, and whether it calls, is over or was seen. */
export const kindOf = (alarm: Alarm): string =>
  `${alarm.priority} ${needsPerson(alarm) ? (isCalm(alarm) ? 'over' : 'needs') : 'seen'}`

/**
 * Those that need a person first, of them what stands before what is over; then by priority, then what takes the most vessels, then the
 * oldest.
 */
export function inOrder(alarms: Iterable<Alarm>): Alarm[] {
  return [...alarms].sort(
    (a, b) =>
      pressing(a) - pressing(b) ||
      RANK[a.priority] - RANK[b.priority] ||
      (b.takes ?? 1) - (a.takes ?? 1) ||
      Date.parse(a.raisedAt) - Date.parse(b.raisedAt),
  )
}

/**
 * The one alarm of these, in order, that is shown whole: the one the person chose while it stands, else the foremost that
 * needs a person. When all were seen, none is.
 */
export function wholeAlarm(alarms: readonly Alarm[], chosenId: string | null): Alarm | null {
  return alarms.find(({ id }) => id === chosenId) ?? alarms.find(needsPerson) ?? null
}

/** Lines below the one that is whole; with none that is, one more. Those beyond stand behind a line of their own. */
export const MOST_LINES = 2
/** A lower screen, px, has room for one line only, or there is no page left to read. */
export const LOW_SCREEN = 700

/** Which of the others have a line in sight, and which are folded away: the least pressing, and never one alone. */
export function inSight(
  others: readonly Alarm[],
  besideWhole: boolean,
  unfolded: boolean,
  low = false,
): { readonly lines: readonly Alarm[]; readonly folded: readonly Alarm[] } {
  const room = low ? 1 : besideWhole ? MOST_LINES : MOST_LINES + 1
  if (unfolded || others.length <= room) return { lines: others, folded: [] }
  return { lines: others.slice(0, room - 1), folded: others.slice(room - 1) }
}

/** What the bar shows: the foremost whole, others a line each, the rest folded. */
export function atRest(
  alarms: readonly Alarm[],
  chosenId: string | null,
  unfolded: boolean,
  low = false,
): ReturnType<typeof whileWalking> {
  const whole = wholeAlarm(alarms, chosenId)
  const others = alarms.filter(alarm => alarm !== whole)
  return { whole, ...inSight(others, whole !== null, unfolded, low) }
}

/** While somebody walks through work at a vessel: what is critical has a line each, the rest one with its number; a tap opens any. */
export function whileWalking(
  alarms: readonly Alarm[],
  chosenId: string | null,
  unfolded: boolean,
): { readonly whole: Alarm | null; readonly lines: readonly Alarm[]; readonly folded: readonly Alarm[] } {
  const isCritical = ({ priority }: Alarm) => priority === 'critical'
  const whole = alarms.find(({ id }) => id === chosenId) ?? null
  const others = alarms.filter(alarm => alarm !== whole)
  if (unfolded) return { whole, lines: others, folded: [] }
  return { whole, lines: others.filter(isCritical), folded: others.filter(each => !isCritical(each)) }
}

/** Each vessel's most pressing alarm; what concerns the whole room is no vessel's. */
export function foremost(alarms: Iterable<Alarm>): Map<string, Alarm> {
  const first = new Map<string, Alarm>()
  for (const alarm of inOrder(alarms)) {
    const { vesselId } = alarm
    if (vesselId !== null && !first.has(vesselId)) first.set(vesselId, alarm)
  }
  return first
}

/** Vessels with alarms first, the most pressing foremost, then those that are about to have one; the rest as they stand on the shelf. */
export function shelfOrder<V extends { readonly id: string }>(
  vessels: Iterable<V>,
  alarms: Iterable<Alarm>,
  isPressing: (vessel: V) => boolean = () => false,
): V[] {
  const rank = new Map([...foremost(alarms).keys()].map((vesselId, index) => [vesselId, index]))
  const last = rank.size
  const of = (vessel: V) => rank.get(vessel.id) ?? (isPressing(vessel) ? last : last + 1)
  return [...vessels].sort((a, b) => of(a) - of(b))
}
