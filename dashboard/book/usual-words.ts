import type { Usual } from '../../broker/web/api/books.ts'
import type { Reminder } from '../../broker/web/api/reminders.ts'

type NameOf = (vesselId: string) => string | undefined

/** Whose dose and water it is: never more than is so. */
export function usualFromText(
  { from, elsewhere }: Pick<Usual, 'from' | 'elsewhere'>,
  nameOf: NameOf,
): string {
  switch (from) {
    case 'preset':
      return 'Your own recipe for this vessel.'
    case 'last-here':
      return 'Amounts as in its last batch.'
    case 'last-elsewhere': {
      const name = elsewhere === undefined ? undefined : nameOf(elsewhere)
      return `Amounts as in your last batch${name === undefined ? '' : `, in ${name}`}, for the water of this vessel.`
    }
    case 'recipe':
      return 'The usual recipe of the trade.'
  }
}

/** Why the lot is the one that it is, or why there is none; empty where there is nothing to choose. */
export function usualLotText(
  { from, lot, lotFrom, elsewhere, lots }: Pick<Usual, 'from' | 'lot' | 'lotFrom' | 'elsewhere' | 'lots'>,
  nameOf: NameOf,
): string {
  if (lot === null)
    return lots.length === 0
      ? ''
      : `${from === 'last-here' ? 'That' : 'Its last batch'} named no lot of cysts. Choose one if you take one.`
  if (lotFrom === 'last-here') return 'The lot is that of its last batch.'
  const name = elsewhere === undefined ? undefined : nameOf(elsewhere)
  return lotFrom === 'last-elsewhere'
    ? `The lot is a guess: it was used last${name === undefined ? '' : ` in ${name}`}. Choose another if it is not so.`
    : 'The lot is a guess: the one to be used first. Choose another if it is not so.'
}

/** The cleaning that is due before the next batch; `null` for none. */
export const cleaningDueOf = (reminders: readonly Reminder[], vesselId: string): Reminder | null =>
  reminders.find(
    each => each.vesselId === vesselId && (each.kind === 'cleaning' || each.kind === 'disinfect'),
  ) ?? null
