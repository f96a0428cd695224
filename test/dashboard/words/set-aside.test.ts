import { describe, expect, it } from 'vitest'
import { applyMessages, EMPTY_ROOM } from '../../../dashboard/state/room-state.ts'
import {
  alarmName,
  asideSentence,
  asideSummary,
  foldedWords,
  outFor,
  workSentence,
} from '../../../dashboard/words/set-aside.ts'
import { alarms, iso, settings, vessels } from '../fake/invent.ts'

const NOW_MS = Date.UTC(2026, 0, 10, 12)
const zone = { locale: 'en-GB', timeZone: 'UTC' }
const [alarm] = alarms(NOW_MS)
const until = iso(NOW_MS + 40 * 60_000)

describe('what calls nobody', () => {
  it('says why, by whom and until when', () => {
    const say = (more: object, cause?: string) => asideSentence({ ...alarm!, ...more }, cause, NOW_MS, zone)
    expect(say({ state: 'shelved', shelvedUntil: until, setAsideBy: 'Kim' })).toBe(
      'put off by Kim until 12:40, 40 min left',
    )
    expect(say({ state: 'shelved', shelvedUntil: until, shelvedOnce: true })).toBe(
      'put off until it is over, at most until 12:40, 40 min left',
    )
    expect(say({ state: 'out-of-service', setAsideBy: 'Kim' })).toBe(
      'out of service by Kim until it is returned',
    )
    expect(say({ state: 'out-of-service', setAsideBy: 'Kim', outUntil: until, outWhy: 'a new probe' })).toBe(
      'out of service by Kim until 12:40, 40 min left: a new probe',
    )
    expect(say({ state: 'suppressed-by-design', causedBy: 'x' }, 'Lamp out, Left cone')).toBe(
      'because of: Lamp out, Left cone',
    )
    expect(say({ state: 'suppressed-by-design', suppressedUntil: until })).toContain('until 12:40')
  })

  it('says for how long a rule may be out, and what stands behind a folded line', () => {
    expect([60, 480, 1440, 4320, 0].map(outFor)).toEqual([
      'For 1 h',
      'For 8 h',
      'For a day',
      'For 3 days',
      'Until I return it',
    ])
    expect(foldedWords(['Left cone', 'Night batch', 'Left cone'])).toBe('3 more: Left cone, Night batch')
  })

  it('names the work at a vessel, and nothing where there is none', () => {
    const [vessel] = vessels(1, NOW_MS)
    expect(workSentence(vessel!, NOW_MS, zone)).toBe('')
    const suppression = { reason: 'harvest', since: iso(NOW_MS), until, by: 'Kim' } as const
    expect(workSentence({ ...vessel!, suppression }, NOW_MS, zone)).toBe(
      'Harvest at Left cone: air and light call nobody until 12:40, 40 min left',
    )
    expect(alarmName({ rule: 'power-lost', vesselId: null }, undefined)).toBe('Power lost')
    expect(alarmName({ rule: 'water-heading-hot', vesselId: 'v1', value: 0 }, 'a')).toBe('Too hot, a')
    expect(alarmName({ rule: 'air-lost', vesselId: 'v1' }, 'Left cone')).toBe('Air lost, Left cone')
  })

  it('is summed up in one line, in the singular where it is one, and counts the work down to its end', () => {
    const [vessel] = vessels(1, NOW_MS)
    const suppression = { reason: 'set-up', since: iso(NOW_MS), until, by: 'Kim' } as const
    const working = [{ ...vessel!, suppression }]
    expect(asideSummary(1, [], NOW_MS)).toBe('1 alarm calls nobody now')
    expect(asideSummary(3, [], NOW_MS)).toBe('3 alarms call nobody now')
    expect(asideSummary(0, working, NOW_MS)).toBe('Set-up at Left cone, 40 min left')
    expect(asideSummary(1, working, NOW_MS)).toBe(
      '1 alarm calls nobody now; set-up at Left cone, 40 min left',
    )
    expect(asideSummary(0, [...working, ...working], NOW_MS)).toBe('Work at 2 vessels')
    expect(asideSummary(0, working, NOW_MS + 39.5 * 60_000), 'what ends in half a minute').toContain(
      '1 min left',
    )
  })

  it('stands apart from what calls, and comes back to it', () => {
    const shelved = { ...alarm!, state: 'shelved' as const }
    const snapshot = {
      type: 'snapshot',
      cursor: '1',
      nowMs: NOW_MS,
      clockSpeed: 1,
      vessels: [],
      devices: [],
      alarms: [shelved],
      settings: settings(),
    } as const
    const first = applyMessages(EMPTY_ROOM, [snapshot])
    expect([first.alarms.size, [...first.aside.keys()]]).toEqual([0, [alarm!.id]])
    const change = (state: 'unacknowledged' | 'normal' | 'shelved') =>
      ({
        type: 'changes',
        cursor: '2',
        nowMs: NOW_MS,
        changes: [{ kind: 'alarm', alarm: { ...alarm!, state } }],
      }) as const
    const back = applyMessages(first, [change('unacknowledged')])
    expect([[...back.alarms.keys()], back.aside.size]).toEqual([[alarm!.id], 0])
    const over = applyMessages(applyMessages(back, [change('shelved')]), [change('normal')])
    expect([over.alarms.size, over.aside.size]).toEqual([0, 0])
  })
})
