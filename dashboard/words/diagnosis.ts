import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'

type Cause = Diagnosis['causes'][number]
type Band = Cause['cost']['foodPoints']

/** How sure, in words and a number: `very likely (86 %)`. Never quite certain. */
export function sureText({ sure, probability }: Pick<Cause, 'sure' | 'probability'>): string {
  return `${sure} (${Math.min(Math.round(100 * probability), 99)} %)`
}

/** Less than this is not worth a word: points, hours. */
const LEAST_POINTS = 1
const LEAST_H = 0.5

/** What a cause took: `took 20 to 50 points of the hatch, about 32, and 3.5 h`. Empty where it took nothing to speak of. */
export function costText({ cost }: Pick<Cause, 'cost'>): string {
  const parts = [pointsText(cost.foodPoints), hoursText(cost.laterH)].filter(part => part !== '')
  return parts.length === 0 ? '' : `It took ${parts.join(', and ')}.`
}

function pointsText(points: Band): string {
  if (points.p50 < LEAST_POINTS) return ''
  const [low, middle, high] = [points.p10, points.p50, points.p90].map(one => Math.max(0, Math.round(one)))
  const about = `about ${middle} of 100 points of the hatch`
  return low === high ? about : `${about} (${low} to ${high})`
}

function hoursText(later: Band): string {
  if (later.p50 < LEAST_H) return ''
  const hours = (value: number) => Number(Math.max(0, value).toFixed(value < 10 ? 1 : 0))
  const [low, middle, high] = [hours(later.p10), hours(later.p50), hours(later.p90)]
  return low === high ? `${middle} h` : `about ${middle} h (${low} to ${high})`
}

/** What is left over when the causes are taken off: one sentence; empty without a count. */
export function balanceText({ without, counted, unexplained }: Diagnosis['balance']): string {
  if (counted === null || unexplained === null) return ''
  const whole = (value: number) => Math.round(value)
  const sum = `${whole(without.p50)} of 100 cysts were to be expected without it all; ${whole(counted.best)} were counted (${whole(counted.low)} to ${whole(counted.high)}).`
  const isExplained = unexplained.p10 <= 0 && unexplained.p90 >= 0
  if (isExplained) return `${sum} The causes explain the difference, as closely as it is known.`
  const points = Math.abs(whole(unexplained.p50))
  return unexplained.p50 < 0
    ? `${sum} ${points} of them nothing explains.`
    : `${sum} That is ${points} more than the causes leave: they took less than reckoned.`
}
