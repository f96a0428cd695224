import { DeliveryState, type DeliveryRow } from '../store/contract.ts'
import type { Message } from './contract.ts'

/** One delivery as the outbox works with it. */
export interface Delivery {
  readonly message: Message
  readonly personId: string
  /** Which of the person's addresses; looked up when it is sent, so that a corrected one counts. */
  readonly addressId: string
  readonly kind: string
  readonly state: DeliveryState
  readonly attempts: number
  /** When it is to be tried next, Unix ms. */
  readonly nextAtMs: number
  readonly doneAtMs: number | null
  readonly error: string | null
}

export function newDelivery(
  message: Message,
  to: Pick<Delivery, 'personId' | 'addressId' | 'kind'>,
): Delivery {
  return {
    message,
    ...to,
    state: DeliveryState.waiting,
    attempts: 0,
    nextAtMs: message.sentAtMs,
    doneAtMs: null,
    error: null,
  }
}

export function toRow({ message, addressId, kind, ...rest }: Delivery): DeliveryRow {
  return {
    ...rest,
    id: message.id,
    alarmId: message.alarmId,
    channel: kind,
    createdAtMs: message.sentAtMs,
    json: JSON.stringify({ message, addressId }),
  }
}

export function fromRow(row: DeliveryRow): Delivery {
  const { message, addressId } = JSON.parse(row.json) as Pick<Delivery, 'message' | 'addressId'>
  const { personId, channel, state, attempts, nextAtMs, doneAtMs, error } = row
  return { message, addressId, personId, kind: channel, state, attempts, nextAtMs, doneAtMs, error }
}
