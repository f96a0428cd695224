import type { HeldFood, PlanLot } from '../../plan/contract.ts'
import type { Books } from '../books/contract.ts'
import type { Pantry } from './contract.ts'

/** What is on the shelf and in the refrigerator, from the breeder's books. */
export function pantryOf(books: Pick<Books, 'lots' | 'held'>): Pantry {
  return {
    ready: (heldId, drawn) => books.held.readyDraw(heldId, { for: 'fed', ...drawn }),
    readyUndraw: (heldId, drawId) => books.held.readyUndraw(heldId, drawId),
    async lots(): Promise<PlanLot[]> {
      const lots = await books.lots.list()
      return lots.flatMap(({ name, gramsLeft, endedAtMs }) =>
        endedAtMs === null ? [{ id: name, name, gramsLeft }] : [],
      )
    },
    portions: () => books.held.list({ gone: true }),
    async held(): Promise<HeldFood[]> {
      return (await books.held.list()).flatMap(each => {
        const { id, left, isGone, isTooSoon, takenAtMs, ageAtTakingH, energyAtTaking, coldC, lot, state } =
          each
        // What nobody counted cannot be planned with; what is past its time, or not of its batch, is not to be.
        if (left === null || left <= 0 || isGone || isTooSoon || state.isOver) return []
        const worth = { energyAtTaking, coldC }
        return [{ id, name: lot ?? '', nauplii: left, ageH: ageAtTakingH, heldSinceMs: takenAtMs, ...worth }]
      })
    },
  }
}
