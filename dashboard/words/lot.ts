import { CYSTS_PER_G } from '../../broker/hatch/lot/lot.ts'
import type { LotOnShelf } from '../../broker/web/api/books.ts'
import type { Lot } from '../../broker/web/api/events.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'

/** What the forecast knows the lot from. */
export function lotText({ name, batches, observations }: Forecast['lot']): string {
  const lot = name === null ? 'This lot has no name' : /^lot\b/i.test(name) ? name : `Lot ${name}`
  if (observations === 0)
    return name === null
      ? 'These cysts have no lot written down: the times are rough. Count this batch and they become surer.'
      : `${lot} was never counted: the times are rough. Count once and they become surer.`
  const seen = observations === 1 ? 'one thing was seen' : `${observations} things were seen`
  if (name === null) return `${lot}; ${seen} in this batch.`
  return `${lot}: ${seen} in ${batches <= 1 ? 'one batch' : `${batches} batches`}, and the times lean on that.`
}

/** What to make of a lot, in a few words; what it means and what to do stand beside it in the broker's own words. */
export const QUALITY_WORD: Record<LotOnShelf['quality'], string> = {
  unseen: 'Never counted',
  learning: 'Getting known',
  steady: 'No decline seen',
  weak: 'Weak',
  uneven: 'Too uneven to tell',
  declining: 'Declining',
  dormant: 'Asleep, perhaps',
  'gone-bad': 'Gone bad',
}

const hours = (value: number): string => (value < 10 ? value.toFixed(1) : String(Math.round(value)))

/** `24 h (19–33)`. */
export function hoursBand({ p10, p50, p90 }: Lot['hoursToHalf']): string {
  const low = hours(p10)
  const high = hours(p90)
  return low === high ? `${hours(p50)}\u00a0h` : `${hours(p50)}\u00a0h (${low}–${high})`
}

/** `78 % (70–85)`. */
export function shareBand({ p10, p50, p90 }: Lot['hatchShare']): string {
  const per = (share: number) => Math.round(share * 100)
  return per(p10) === per(p90) ? `${per(p50)}\u00a0%` : `${per(p50)}\u00a0% (${per(p10)}–${per(p90)})`
}

const thousands = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')

/** `138,000 (90,000–190,000)`. */
export function perGBand({ p10, p50, p90 }: Lot['naupliiPerG']): string {
  return `${thousands(p50)} (${thousands(p10)}–${thousands(p90)})`
}

/** A batch that gave less than this share of the mean is spoken of as failed. Own choice. */
const FAILED_BELOW = 0.25

/** What was counted of a lot, as it was counted; empty while nothing was. */
export function countedText(counted: Lot['counted']): string {
  if (counted === null) return ''
  const { batches, naupliiPerG, hatchShare } = counted
  const { mean, least, most } = naupliiPerG
  const span =
    batches === 1 || least === most
      ? ''
      : ` (${thousands(least)}–${thousands(most)}${least < FAILED_BELOW * mean ? ', failed ones among them' : ''})`
  const share =
    hatchShare === null
      ? ''
      : `; of its cysts ${Math.round(100 * hatchShare)}\u00a0% had hatched when they were counted${batches === 1 ? '' : ', in the mean of all'}`
  return `Counted in ${batches === 1 ? 'one batch' : `${batches} batches`}: ${thousands(mean)} nauplii from a gram${batches === 1 ? '' : ' in the mean'}${span}${share}.`
}

/** Nearer to what is published, a gram's cysts are not spoken of: a dose is weighed no better. Own choice. */
const CYSTS_APART = 0.15

/** How many cysts a gram would have held by a count: where that is not what is published, it is why nauplii and share do not go together. */
function cystsText({ naupliiPerG, hatchShare }: NonNullable<Lot['counted']>): string {
  const perG = hatchShare === null || hatchShare === 0 ? null : naupliiPerG.mean / hatchShare
  if (perG === null || Math.abs(perG / CYSTS_PER_G - 1) < CYSTS_APART) return ''
  const [than, why] =
    perG < CYSTS_PER_G
      ? ['fewer', 'less went in than was weighed, a volume was off, or this lot has fewer']
      : ['more', 'more went in than was weighed, or a volume was off']
  return ` By that a gram held ${thousands(perG)} cysts, ${than} than the ${thousands(CYSTS_PER_G)} that are published: ${why}. The next batch is reckoned most of the way with the published ones.`
}

/** Why what is expected of a lot's next batch is what it is, and why it may differ from what was counted. */
export function givesBecause(counted: Lot['counted']): string {
  if (counted === null) return 'Nothing was counted of it: this is what is published for new lots.'
  return counted.batches === 1
    ? `${countedText(counted)}${cystsText(counted)} One count may be a slip, so what is expected lies between it and what is published for new lots, until a second one agrees.`
    : `${countedText(counted)} What is expected leans on all of them, the newest most; a count that does not fit the others weighs little.`
}

/** What a ruler goes from and to, and where it is marked. */
export interface Scale {
  readonly from: number
  readonly to: number
  readonly marks: readonly { readonly at: number; readonly text: string }[]
}

/** One scale for all, so that the eye can compare: in steps of six hours around everything that is on it. */
export function hourScale(lots: readonly Pick<Lot, 'hoursToHalf'>[]): Scale {
  const from = Math.floor(Math.min(12, ...lots.map(lot => lot.hoursToHalf.p10)) / 6) * 6
  const to = Math.ceil(Math.max(30, ...lots.map(lot => lot.hoursToHalf.p90)) / 6) * 6
  const step = to - from > 36 ? 12 : 6
  const marks = Array.from({ length: Math.floor((to - from) / step) + 1 }, (_, index) => from + index * step)
  return { from, to, marks: marks.map(at => ({ at, text: `${at} h` })) }
}
