import { z } from 'zod'
import { AlarmState, type Alarm, type RuleName } from '../rules/alarm.ts'
import { RoomError, RoomErrorKind } from './contract.ts'
import type { RoomState } from './state.ts'

const KEY = 'out-of-service'
const DAY_MS = 86_400_000
/** A rule that is to be off for longer is switched off in the settings, where it is seen. Own choice. */
export const MOST_OUT_MS = 30 * DAY_MS
const LEAST_OUT_MS = 5 * 60_000
const Kept = z.array(
  z.object({ vesselId: z.string(), rule: z.string(), untilMs: z.number().nullable(), why: z.string() }),
)

/** Until when a rule of a vessel is out of service, and what for. */
export interface OutFor {
  /** `null`: until somebody returns it. */
  readonly untilMs: number | null
  /** In the person's words; empty when they gave none. */
  readonly why: string
}

/** What people said when they took rules out of service: the rules themselves know only that they are out. */
export class OutOfService {
  readonly #of = new Map<string, OutFor & { readonly vesselId: string; readonly rule: RuleName }>()

  async restore(state: RoomState): Promise<void> {
    const json = await state.parts.store.document(KEY)
    const kept = json === undefined ? [] : (Kept.safeParse(JSON.parse(json)).data ?? [])
    for (const each of kept) this.#of.set(keyOf(each), { ...each, rule: each.rule as RuleName })
  }

  /** Answers whether anything is otherwise than it was said before. @throws RoomError of kind `invalid` when that is too short or too long. */
  set(state: RoomState, vesselId: string, rule: RuleName, { untilMs, why }: OutFor): boolean {
    const forMs = untilMs === null ? null : untilMs - state.parts.clock()
    if (forMs !== null && !(forMs >= LEAST_OUT_MS && forMs <= MOST_OUT_MS))
      throw new RoomError(
        RoomErrorKind.invalid,
        `Cannot take ${rule} out of service: it must be for 5 min to ${MOST_OUT_MS / DAY_MS} days, or until it is returned, got ${forMs / 60_000} min`,
        'minutes',
      )
    const before = this.#of.get(keyOf({ vesselId, rule }))
    if (before?.untilMs === untilMs && before.why === why) return false
    this.#of.set(keyOf({ vesselId, rule }), { vesselId, rule, untilMs, why })
    this.#keep(state)
    return true
  }

  forget(state: RoomState, vesselId: string, rule: RuleName): void {
    if (this.#of.delete(keyOf({ vesselId, rule }))) this.#keep(state)
  }

  /** The alarm with what was said about it, while it is out of service. */
  told(alarm: Alarm): Alarm {
    if (alarm.state !== AlarmState.outOfService || alarm.vesselId === null) return alarm
    const of = this.#of.get(keyOf({ vesselId: alarm.vesselId, rule: alarm.rule }))
    if (of === undefined) return alarm
    return {
      ...alarm,
      ...(of.untilMs === null ? {} : { outUntilMs: of.untilMs }),
      ...(of.why === '' ? {} : { outWhy: of.why }),
    }
  }

  /** What is over by now: to be returned by whoever acts on alarms. */
  over(nowMs: number): { readonly vesselId: string; readonly rule: RuleName }[] {
    return [...this.#of.values()].filter(({ untilMs }) => untilMs !== null && untilMs <= nowMs)
  }

  #keep(state: RoomState): void {
    const json = JSON.stringify([...this.#of.values()])
    state.inBackground('keeping what is out of service', state.parts.store.keepDocument(KEY, json))
  }
}

const keyOf = ({ vesselId, rule }: { vesselId: string; rule: string }): string => `${rule} ${vesselId}`
