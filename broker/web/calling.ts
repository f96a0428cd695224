import type { Alarm } from '../rules/alarm.ts'
import type { ChangeNotify, NotifySettings, OutboxList } from './api/notify.ts'

/** What the web needs of whatever calls people: it does not know how that is done. */
export interface Calling {
  settings(): ReadOnly<NotifySettings>
  /** @throws RoomError of kind `invalid` that names the field. */
  change(sent: WithoutUndefined<ChangeNotify>): Promise<ReadOnly<NotifySettings>>
  /** @throws RoomError of kind `not-found`. */
  test(personId: string, addressId: string): Promise<{ readonly arrived: boolean; readonly words: string }>
  recent(limit: number): Promise<readonly CalledOf[]>
  /** What the link in a message opens; `null` when it is not ours, or no longer valid. */
  openLink(token: string): Promise<OpenedLink | null>
  /** Acknowledges; false when the link is not ours, or no longer valid. */
  answerLink(token: string): Promise<boolean>
}

export interface OpenedLink {
  /** As it stands, or as it ended; `null`: it is over, and so long ago that nothing is known of it. */
  readonly alarm: Alarm | null
  /** The vessel's name; `null` for what concerns the room. */
  readonly where: string | null
  readonly person: string
}

type ApiDelivery = OutboxList['deliveries'][number]
export type CalledOf = ReadOnly<Omit<ApiDelivery, 'at' | 'nextAt' | 'doneAt'>> & {
  readonly atMs: number
  readonly nextAtMs: number
  readonly doneAtMs: number | null
}

type ReadOnly<T> = T extends readonly (infer Each)[]
  ? readonly ReadOnly<Each>[]
  : T extends object
    ? { readonly [K in keyof T]: ReadOnly<T[K]> }
    : T
/** A member that was left out is not there, rather than there and undefined. */
export type WithoutUndefined<T> = T extends readonly (infer Each)[]
  ? WithoutUndefined<Each>[]
  : T extends object
    ? { [K in keyof T]: WithoutUndefined<Exclude<T[K], undefined>> }
    : T
