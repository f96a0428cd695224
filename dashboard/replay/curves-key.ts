import type { Shade } from './diagnosed.ts'
import type { Recording } from './recording.ts'

export interface KeySign {
  /** How it is drawn: a class of the curves' style. */
  readonly sign: 'first' | 'other' | 'gap' | 'expected' | 'harvest'
  readonly words: string
}

/** What the shades behind the curves of a replay say: those that are there, and what is always possible. */
export function curvesKey({ replay, toMs }: Pick<Recording, 'replay' | 'toMs'>, shades: readonly Shade[]) {
  const { reachesHatch, harvest } = replay.forecast
  const key: KeySign[] = []
  if (shades.some(({ rank }) => rank === 1))
    key.push({ sign: 'first', words: 'speaks for what is named first' })
  if (shades.some(({ rank }) => rank > 1)) key.push({ sign: 'other', words: 'for another, by its number' })
  key.push({ sign: 'gap', words: 'no readings' }, { sign: 'expected', words: 'expected half an hour before' })
  if (reachesHatch && Date.parse(harvest.from) < toMs)
    key.push({ sign: 'harvest', words: 'harvest window, as reckoned at the end' })
  return key
}
