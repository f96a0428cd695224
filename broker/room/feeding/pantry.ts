import type { HeldFood, PlanLot } from '../../plan/contract.ts'
import type { Books } from '../books/contract.ts'
import type { Pantry } from './contract.ts'

/** Where no forecast tells since when they were out, h: the middle of a harvest window. Own choice. */
const UNKNOWN_AGE_H = 6

/** What is on the shelf and in the refrigerator, from the breeder's books. */
export function pantryOf(books: Pick<Books, 'lots' | 'held'>): Pantry {
  return {
    ready: (heldId, drawn) => books.held.readyDraw(heldId, { for: 'fed', ...drawn }),
    async undraw(heldId, drawId) {
      await books.held.withdrawDraw(heldId, drawId)
    },
    async lots(): Promise<PlanLot[]> {
      const lots = await books.lots.list()
      return lots.flatMap(({ name, gramsLeft, endedAtMs }) =>
        endedAtMs === null ? [{ id: name, name, gramsLeft }] : [],
      )
    },
    async held(): Promise<HeldFood[]> {
      return (await books.held.list()).flatMap(({ id, left, isGone, takenAtMs, meanAgeH, lot, state }) => {
        // What nobody counted cannot be planned with, and what is past its time is not to be.
        if (left === null || left <= 0 || isGone || state.isOver) return []
        const ageH = meanAgeH ?? UNKNOWN_AGE_H
        return [{ id, name: lot ?? '', nauplii: left, ageH, heldSinceMs: takenAtMs }]
      })
    },
  }
}
