import { harvestLeft, overTaken, type HarvestEntry } from '../hatch/counts/harvest-left.ts'
import { type BatchEvent, type BatchEventBody } from './event-contract.ts'
import { RoomError, RoomErrorKind } from './contract.ts'

/** A log as its harvests are reckoned from it: what was taken back counts no more. */
export function harvestEntries(events: readonly BatchEvent[]): HarvestEntry[] {
  return events.flatMap(event => {
    if (event.withdrawnAtMs !== null) return []
    const { kind, atMs, recordedAtMs } = event
    const counted = event.kind === 'count' && event.harvest ? (event.estimate?.nauplii ?? null) : null
    const taken = event.kind === 'taken' ? { share: event.share, nauplii: event.nauplii } : {}
    return [{ kind, atMs, recordedAtMs, counted, ...taken }]
  })
}

/** Refuses to take more of a harvest than there is. */
export function checkTaken(
  { share, nauplii }: Extract<BatchEventBody, { kind: 'taken' }>,
  atMs: number,
  events: readonly BatchEvent[],
): void {
  const left = harvestLeft(harvestEntries(events), atMs)
  if (overTaken(left, share, nauplii) === 0) return
  const percent = (of: number) => `${Math.round(100 * of)} %`
  const many = left.nauplii === null ? '' : `, some ${left.nauplii.toLocaleString('en-US')} nauplii,`
  const said = share === null ? `${Math.round(nauplii ?? 0).toLocaleString('en-US')} nauplii` : percent(share)
  const rule = `${percent(left.share)} of the harvest${many} ${left.share > 0 ? 'are' : 'is'} left, got ${said}`
  const help = left.share > 0 ? '' : '; take one of its entries back first'
  throw new RoomError(
    RoomErrorKind.conflict,
    `Cannot write down what was taken: ${rule}${help}`,
    share === null ? 'nauplii' : 'share',
  )
}
