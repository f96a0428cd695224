import { binomialLimits } from '../skill/binomial.ts'
import { FAULTS, OF_RECORD } from './faults.ts'
import { type Blamed, MATTERS_H, MATTERS_SHARE } from './season.ts'

/** Of pairs both must be among so many first-named causes. */
const NAMED_OF_PAIR = 3

export interface Bar {
  readonly words: string
  readonly hits: number
  readonly of: number
  readonly atLeast: number
  readonly kept: boolean
}

export const isSingle = ({ faults }: Blamed): boolean => faults.length === 1
export const isPair = ({ faults }: Blamed): boolean => faults.length === 2
export const isWell = ({ faults }: Blamed): boolean => faults.length === 0

export function isRight({ faults, named }: Blamed): boolean {
  if (faults.length === 0) return named.length === 0
  const first = named.slice(0, faults.length === 1 ? 1 : NAMED_OF_PAIR)
  return faults.every(fault => first.includes(fault))
}

export function barsOf(season: readonly Blamed[]): Bar[] {
  const bar = (words: string, of: readonly Blamed[], atLeast: number): Bar => {
    const hits = of.filter(isRight).length
    return { words, hits, of: of.length, atLeast, kept: of.length > 0 && hits / of.length >= atLeast }
  }
  return [
    bar(
      'one cause that matters: named first',
      season.filter(one => isSingle(one) && one.matters),
      0.95,
    ),
    bar(`pairs: both among the first ${NAMED_OF_PAIR} named`, season.filter(isPair), 0.85),
    bar('well batches: blamed for nothing', season.filter(isWell), 0.98),
  ]
}

export function barsTable(bars: readonly Bar[]): string {
  return table(
    ['bar', 'reached', '95 % limits', 'batches'],
    bars.map(({ words, hits, of, atLeast, kept }) => {
      const [low, high] = binomialLimits(hits, of)
      return [
        `${words}, at least ${percent(atLeast)}`,
        `${kept ? '' : '**missed** '}${percent(hits / of)}`,
        `${percent(low)} to ${percent(high)}`,
        String(of),
      ]
    }),
  )
}

/** Rows are what was put in, columns what was named first, of batches whose cause matters. */
export function confusionTable(season: readonly Blamed[]): string {
  const of = season.filter(one => isWell(one) || (isSingle(one) && one.matters))
  const truths = [...FAULTS, WELL]
  const columns = [...FAULTS, NOTHING]
  const letters = columns.map((_, at) => String.fromCharCode(97 + at))
  const rows = truths.map(truth => {
    const batches = of.filter(({ faults }) => (faults[0] ?? WELL) === truth)
    const counts = columns.map(column => batches.filter(one => firstNamed(one) === column).length)
    const own = columns.indexOf(truth === WELL ? NOTHING : truth)
    return [
      `${letters[own]} ${truth}`,
      String(batches.length),
      ...counts.map((count, at) => (count === 0 ? '' : at === own ? `**${count}**` : String(count))),
    ]
  })
  return table(['what was put in', 'batches', ...letters], rows)
}

/** The weaker ones, which no bar asks for, and what they truly took. */
export function strengthTable(season: readonly Blamed[]): string {
  const rows = FAULTS.map(fault => {
    const all = season.filter(one => isSingle(one) && one.faults[0] === fault)
    const share = (some: readonly Blamed[]) =>
      some.length === 0 ? '' : `${some.filter(isRight).length} of ${some.length}`
    const lost = OF_RECORD.includes(fault)
      ? 'its record'
      : [0, 1, 2, 3]
          .map(strength => middle(all.filter(one => one.strength === strength).map(one => one.lostShare)))
          .map(percent)
          .join(', ')
    const later = OF_RECORD.includes(fault)
      ? ''
      : [0, 1, 2, 3]
          .map(strength => middle(all.filter(one => one.strength === strength).map(one => one.laterH)))
          .map(hours => (hours === Infinity ? 'never' : hours.toFixed(1)))
          .join(', ')
    return [
      fault,
      share(all.filter(({ matters }) => matters)),
      share(all.filter(({ matters }) => !matters)),
      lost,
      later,
    ]
  })
  return table(
    [
      'cause',
      'named first where it matters',
      'named first where it does not',
      'food lost at the four strengths, middle',
      'hours later',
    ],
    rows,
  )
}

export function sectionOf(season: readonly Blamed[], bars: readonly Bar[], seed: number): string {
  const unseen = season.filter(one => one.lotSeenBefore === 0)
  return [
    `${season.length} batches, seed ${seed}; ${unseen.length} of lots that nobody has seen before. A cause matters where the same batch without it would have given ${percent(MATTERS_SHARE)} more food or been ready ${MATTERS_H} h sooner, by the simulator's own truth; one that spoils the record where it is off by 1 °C, faulty for 2 h, out of the water for 1.5 h, silent for 4 h.`,
    barsTable(bars),
    riskySentence(season),
    'What was named first, of the well and of those with one cause that matters:',
    confusionTable(season),
    `${[...FAULTS, NOTHING].map((name, at) => `${String.fromCharCode(97 + at)} ${name}`).join(', ')}.`,
    'By strength:',
    strengthTable(season),
  ].join('\n\n')
}

function riskySentence(season: readonly Blamed[]): string {
  const right = season.filter(one => isSingle(one) && one.matters && isRight(one))
  const risky = right.filter(({ faults, risky }) => risky.includes(faults[0] ?? ''))
  return `Of the ${right.length} single causes that matter and were named first, ${risky.length} were named as risky alone: their keeper's count showed no loss.`
}

const WELL = 'well'
const NOTHING = 'nothing'
const firstNamed = ({ named }: Blamed): string => named[0] ?? NOTHING

const percent = (share: number): string => `${Number((100 * share).toFixed(1))} %`

function middle(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[sorted.length >> 1] ?? 0
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  return [head, head.map(() => '---'), ...rows].map(row => `| ${row.join(' | ')} |`).join('\n')
}
