import { describe, expect, it } from 'vitest'
import { curvesKey } from '../../../dashboard/replay/curves-key.ts'
import { recordingOf } from '../../../dashboard/replay/recording.ts'
import { aReplay, HOUR_MS, START_MS } from './a-replay.ts'

describe('the key below the curves of a replay', () => {
  const recording = recordingOf(aReplay())
  const signs = (of: typeof recording, ranks: readonly number[]) =>
    curvesKey(
      of,
      ranks.map(rank => ({ fromMs: START_MS, toMs: START_MS + HOUR_MS, rank, on: 'water' as const })),
    ).map(({ sign }) => sign)
  const reaching = (reachesHatch: boolean, fromH: number) => ({
    ...recording,
    replay: {
      ...recording.replay,
      forecast: {
        ...recording.replay.forecast,
        reachesHatch,
        harvest: {
          ...recording.replay.forecast.harvest,
          from: new Date(START_MS + fromH * HOUR_MS).toISOString(),
        },
      },
    },
  })
  it('names the shades that are there, and no others', () => {
    expect(signs(reaching(false, 20), [])).toEqual(['gap', 'expected'])
    expect(signs(reaching(false, 20), [1, 2])).toEqual(['first', 'other', 'gap', 'expected'])
  })
  it('names the harvest window where it is drawn', () => {
    expect(signs(reaching(true, 20), [])).toContain('harvest')
    expect(signs(reaching(true, 99), [])).not.toContain('harvest')
  })
})
