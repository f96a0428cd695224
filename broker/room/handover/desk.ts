import { z } from 'zod'
import type { PhotoRow } from '../../store/books-contract.ts'
import type { Room, RoomSnapshot } from '../contract.ts'
import type { Gathered } from './gather.ts'
import type { Unpacked } from './unpacked.ts'

/** What is known of a kept file without opening it. */
export const Head = z.object({
  /** SHA-256 of what the file says, so that the same is recognised however it was packed. */
  digest: z.string(),
  bytes: z.number(),
  by: z.string(),
  writtenAt: z.string(),
  writtenBy: z.string(),
  names: z.boolean(),
  vessel: z.string(),
  startedAtMs: z.number(),
  endedAtMs: z.number().nullable(),
  litres: z.number(),
  cystsG: z.number(),
  salinityGpl: z.number(),
  lot: z.string().nullable(),
})
export type Head = z.infer<typeof Head>

/** A file that was read, ready to be kept beside the books. */
export interface ToKeep {
  /** Of the batch. */
  readonly id: string
  readonly head: Omit<Head, 'by'>
  /** The document to be kept, in ASCII. */
  readonly document: Uint8Array<ArrayBuffer>
}

/** What may be asked of the room that a batch from elsewhere is alone in. */
export const LOOKS = [
  'batch',
  'everyVessel',
  'forecast',
  'course',
  'lookBack',
  'hatchLine',
  'diagnosis',
  'batchEvents',
  'batchKnownSince',
  'readings',
  'journal',
  'settingsThen',
] as const satisfies readonly (keyof Room)[]

/** A room that a batch is looked at in, and nothing done. */
export type LookedAt = Pick<Room, (typeof LOOKS)[number]> & { snapshot(): Pick<RoomSnapshot, 'nowMs'> }

export interface Look {
  /** Which file: it is opened once, and again after it made room for others. */
  readonly key: string
  readonly what: (typeof LOOKS)[number] | 'photo'
  readonly args: readonly unknown[]
  /** The kept document; `null` in the hope that it is open. */
  readonly document: string | null
}
export type Looked =
  | { readonly isOpen: false }
  | { readonly isOpen: true; readonly answer: unknown; readonly photoIds: readonly string[] }
export type LookedAtPhoto = PhotoRow | undefined

/** Where files of batches are read, looked into and written: up to 64 MiB of JSON, which takes seconds. */
export interface HandoverDesk {
  /** @throws HandoverError that says what is wrong with the file, as do the others. `asCopy`: under an id of its own. */
  toKeep(bytes: Uint8Array, asCopy: boolean): Promise<ToKeep>
  unpack(bytes: Uint8Array): Promise<Unpacked>
  look(look: Look): Promise<Looked>
  write(gathered: Gathered): Promise<Written>
  close(): Promise<void>
}

export interface Written {
  /** What the file is called. */
  readonly name: string
  readonly bytes: Uint8Array<ArrayBuffer>
}
