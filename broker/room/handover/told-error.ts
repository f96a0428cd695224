import { RoomError, type RoomErrorKind } from '../contract.ts'
import { HandoverError, type Refusal } from './errors.ts'

/** An error on its way to another thread, where only what is plain arrives. */
export type ToldError =
  | {
      readonly name: 'room'
      readonly kind: RoomErrorKind
      readonly message: string
      readonly field: string | null
    }
  | {
      readonly name: 'handover'
      readonly refusal: Refusal
      readonly message: string
      readonly field: string | null
      readonly batchId: string | null
    }
  | { readonly name: 'other'; readonly message: string }

export function toldError(error: unknown): ToldError {
  if (error instanceof RoomError)
    return { name: 'room', kind: error.kind, message: error.message, field: error.field }
  if (error instanceof HandoverError) {
    const { refusal, message, field, batchId } = error
    return { name: 'handover', refusal, message, field, batchId }
  }
  return { name: 'other', message: error instanceof Error ? error.message : String(error) }
}

export function errorOf(told: ToldError): Error {
  if (told.name === 'room') return new RoomError(told.kind, told.message, told.field)
  if (told.name === 'handover') return new HandoverError(told.refusal, told.message, told.field, told.batchId)
  return new Error(told.message)
}
