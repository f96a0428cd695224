import type { Share } from './assign.ts'
import { HARDLY } from './choice.ts'
import type { FedMeal, Feeding, Serving } from './contract.ts'
import type { Demand } from './demand.ts'

/** What each meal is met from: where several share one demand, each gets what it needs in turn, from the earliest source on. */
export function mealsOf(demands: readonly Demand[], shares: readonly Share[], spare: number): FedMeal[] {
  const meals = demands.flatMap((demand, demandAt) => {
    const left = shares
      .filter(share => share.demandAt === demandAt)
      .sort((a, b) => b.ageH + b.coldH - a.ageH - a.coldH || (a.sourceId < b.sourceId ? -1 : 1))
      .map(share => ({ share, alive: share.taken * share.alive }))
    return demand.feedings.map(feeding => meal(feeding, feeding.nauplii * (1 + spare), left))
  })
  return meals.sort((a, b) => a.atMs - b.atMs || (a.id < b.id ? -1 : 1))
}

function meal(feeding: Feeding, wanted: number, left: { readonly share: Share; alive: number }[]): FedMeal {
  const servings: Serving[] = []
  let lacking = wanted
  for (const one of left) {
    const nauplii = Math.min(one.alive, lacking)
    if (nauplii <= Math.min(HARDLY, wanted / 100)) continue
    one.alive -= nauplii
    lacking -= nauplii
    const { source, sourceId, ageH, coldH, tight, energyLeft } = one.share
    const worth = energyLeft === null ? {} : { energyLeft }
    servings.push({ source, sourceId, nauplii, ageH, coldH, ...worth, tight })
  }
  return { ...feeding, wanted, servings, lacking: lacking <= Math.min(HARDLY, wanted / 100) ? 0 : lacking }
}
