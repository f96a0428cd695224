import { createHash } from 'node:crypto'
import { RoomError, RoomErrorKind } from '../../broker/room/contract.ts'
import type { PhoneBook, PhoneEntry } from '../../broker/web/phone-book.ts'
import { NOW_MS } from './examples.ts'

export interface FakePhones extends PhoneBook {
  readonly kept: Map<string, PhoneEntry>
  readonly added: Parameters<PhoneBook['add']>[0][]
}

/** Phones that are called by nobody: they are kept as told. */
export function fakePhones(): FakePhones {
  const kept = new Map<string, PhoneEntry>()
  const added: FakePhones['added'] = []
  const one = (id: string): PhoneEntry => {
    const phone = kept.get(id)
    if (phone) return phone
    throw new RoomError(RoomErrorKind.notFound, `Cannot find phone: none has the id ${id}`)
  }
  return {
    kept,
    added,
    look: async () => ({
      publicKey: 'BKEY',
      people: [{ id: 'p1', name: 'Kim' }],
      phones: [...kept.values()],
      lost: [{ name: 'old phone', person: 'Kim', atMs: NOW_MS }],
    }),
    async add(input) {
      added.push(input)
      if (!input.subscription.endpoint.startsWith('https:'))
        throw new RoomError(RoomErrorKind.invalid, 'Cannot call this phone: not HTTPS', 'subscription')
      const id = createHash('sha256').update(input.subscription.endpoint).digest('hex').slice(0, 24)
      const phone = { id, name: input.name, personId: 'p1', person: input.person }
      kept.set(id, phone)
      return phone
    },
    drop: async id => void kept.delete(one(id).id),
    test: async id => ({ arrived: true, words: `${one(id).name} was called.` }),
  }
}
