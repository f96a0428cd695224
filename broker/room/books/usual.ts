import { HarvestGoal } from '../../hatch/contract.ts'
import { lotsHolding, nextLot } from '../../hatch/lot/next-lot.ts'
import { USUAL_SALINITY_GPL } from '../../hatch/recipe/usual.ts'
import { USUAL_CYSTS_GPL } from '../../hatch/recipe/cysts.ts'
import type { BatchRow } from '../../store/contract.ts'
import { UsualFrom, UsualLot, type Lots, type Presets, type Usual } from './contract.ts'
import { dateMs } from './dates.ts'
import type { BookParts } from './parts.ts'

type Dose = Pick<Usual, 'from' | 'recipe' | 'litres' | 'cystsG' | 'salinityGpl' | 'goal'>

/**
 * What two taps start: the vessel's own recipe, else what its last batch had, else what the last batch anywhere had for its litres, else the
 * trade's usual one; from the lot that was taken last while it lasts, then from the one to be used first. Where the vessel's last batch
 * named no lot, none is written down unasked.
 */
export async function usualBatch(
  { room }: BookParts,
  lots: Lots,
  presets: Presets,
  vesselId: string,
): Promise<Usual> {
  const { row } = room.vessel(vesselId)
  const [here] = await room.batches({ vesselId, limit: 1 })
  const [anywhere] = await room.batches({ limit: 1 })
  const own = (await presets.list()).findLast(preset => preset.vesselId === vesselId)
  const dose = doseOf()
  const shelf = (await lots.list()).map(lot => ({
    name: lot.name,
    gramsLeft: lot.gramsLeft,
    useByMs: lot.useBy?.untilMs ?? null,
    openedOnMs: dateMs(lot.openedOn),
    isPutAway: lot.endedAtMs !== null,
  }))
  const holding = lotsHolding(shelf, dose.cystsG)
  const last = here ?? anywhere
  const lot = here?.lot === null ? null : nextLot(shelf, dose.cystsG, last?.lot ?? null)
  const lotFrom =
    lot === null || lot.name !== last?.lot
      ? UsualLot.shelf
      : here
        ? UsualLot.lastHere
        : UsualLot.lastElsewhere
  const isElsewhere = dose.from === UsualFrom.lastElsewhere || (lot && lotFrom === UsualLot.lastElsewhere)
  return {
    vesselId,
    ...dose,
    lot: lot && { name: lot.name, gramsLeft: lot.gramsLeft },
    ...(lot && { lotFrom }),
    ...(isElsewhere && anywhere ? { elsewhere: anywhere.vesselId } : {}),
    lots: holding.map(({ name }) => name),
    lacksCysts: holding.length === 0 && shelf.some(({ isPutAway }) => !isPutAway),
  }

  function doseOf(): Dose {
    if (own) return { from: UsualFrom.preset, recipe: own.name, ...recipeOf(own) }
    if (here) return { from: UsualFrom.lastHere, ...recipeOf(here) }
    const litres = rounded(row.litres)
    if (!anywhere) {
      const cystsG = rounded(USUAL_CYSTS_GPL * litres)
      const goal = HarvestGoal.balanced
      return { from: UsualFrom.recipe, litres, cystsG, salinityGpl: USUAL_SALINITY_GPL, goal }
    }
    const cystsG = rounded((anywhere.cystsG / anywhere.litres) * litres)
    return { from: UsualFrom.lastElsewhere, ...recipeOf({ ...anywhere, litres, cystsG }) }
  }
}

function recipeOf({
  litres,
  cystsG,
  salinityGpl,
  goal,
}: Pick<BatchRow, 'litres' | 'cystsG' | 'salinityGpl' | 'goal'>) {
  return { litres, cystsG, salinityGpl, goal }
}

/** To what a kitchen scale and a bottle's marks show. */
const rounded = (value: number): number => Math.max(0.01, Number(value.toFixed(2)))
