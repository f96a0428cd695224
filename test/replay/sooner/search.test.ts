import { describe, expect, it } from 'vitest'
import { proposalsFor } from '../../../broker/replay/sooner/proposals.ts'
import { SoonerSearch, worthwhile } from '../../../broker/replay/sooner/search.ts'
import type { SoonerAsk, SoonerCall } from '../../../broker/replay/sooner/contract.ts'
import { defaultRules } from '../../../broker/rules/defaults.ts'
import { HOUR_MS, LivedRoom, MINUTE_MS, SETTINGS, settled, SILENT } from '../lived-room.ts'

const STEP_MS = 60_000
/** Only the heat limit is there to be turned: 29.4 °C, so that a rise of known steepness tells the minutes. */
const settings = {
  ...SETTINGS,
  rules: {
    ...SETTINGS.rules,
    'water-heading-hot': { ...SETTINGS.rules['water-heading-hot'], enabled: false },
  },
}

/** A batch whose water is `waterC` at each hour; the probe's offset is taken off. */
async function batchOf(lived: LivedRoom, vesselId: string, hours: number, waterC: (h: number) => number) {
  const { id, startedAtMs } = await lived.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
  for (let at = 0; at < hours * HOUR_MS; at += STEP_MS) {
    lived.measure('a', { water: waterC(at / HOUR_MS) - 0.25, air: 0.6, light: 3000 })
    await lived.pass(STEP_MS)
  }
  await lived.room.endBatch(id, {})
  await lived.pass(10 * MINUTE_MS)
  return { id, startedAtMs }
}

/** The water rises by 3 °C an hour from 27 °C at the first half hour on: 29.4 °C after 1 h 18 min. */
const runaway = (h: number) => 27 + Math.min(4, Math.max(0, h - 0.5) * 3)

async function searched(otherC: number, change: Partial<SoonerAsk> = {}, monotonicMs = () => 0) {
  const lived = await LivedRoom.open()
  const vesselId = await lived.addVessel('a', 'a')
  await lived.pass(2 * HOUR_MS)
  const well = await batchOf(lived, vesselId, 2, () => 27)
  const warm = await batchOf(lived, vesselId, 2, h => (h > 1 ? otherC : 27))
  const dead = await batchOf(lived, vesselId, 3, runaway)
  const search = new SoonerSearch({
    store: lived.store,
    elsewhere: async () => null,
    logger: SILENT,
    breathe: settled,
    monotonicMs,
  })
  const progress: number[] = []
  const ask: SoonerAsk = {
    batchId: dead.id,
    settings,
    rules: ['water-too-hot'],
    damageAtMs: dead.startedAtMs + 2 * HOUR_MS,
    others: [warm.id, well.id],
    nowMs: lived.nowMs,
    ...change,
  }
  const found = await search.run(ask, share => progress.push(share))
  return { found, progress, dead, warm }
}

describe('the search for a sooner call', () => {
  it('finds the limit that calls soonest and on no other batch', async () => {
    const { found, progress, dead } = await searched(27.2)
    expect(found.now?.rule).toBe('water-too-hot')
    expect((found.now!.calledAtMs - dead.startedAtMs) / MINUTE_MS).toBeCloseTo(78, -0.3)
    // 28 °C is the lowest that is tried: 1.4 °C sooner at 0.05 °C a minute are 28 minutes.
    expect(found.found?.proposal).toMatchObject({
      rule: 'water-too-hot',
      knob: 'limit',
      setting: { limit: 28 },
    })
    expect(found.found!.gainedMs! / MINUTE_MS).toBeCloseTo(28, -0.3)
    expect(found).toMatchObject({ refused: null, checked: 2, cut: false })
    expect([...progress]).toEqual([...progress].sort((a, b) => a - b))
  }, 20_000)

  it('passes over what would have called on another batch, and tells which and what it would have gained', async () => {
    const { found, warm } = await searched(28.5)
    expect(found.refused).toMatchObject({
      batchId: warm.id,
      newCalls: 1,
      proposal: { setting: { limit: 28 } },
    })
    expect(found.found?.proposal.setting.limit).toBe(28.7)
    expect(found.found!.gainedMs! / MINUTE_MS).toBeCloseTo(14, -0.3)
  }, 20_000)

  it('finds nothing where a rule that watches something else is all there is', async () => {
    const { found } = await searched(27.2, { rules: ['air-lost'] })
    expect(found).toMatchObject({ now: null, found: null, refused: null })
    expect(found.tried).toBe(proposalsFor(['air-lost'], settings.rules).length)
  }, 20_000)

  it('ends with what it has when the time is up', async () => {
    let calls = 0
    const { found } = await searched(27.2, {}, () => calls++ * 90_000)
    expect(found).toMatchObject({ found: null, cut: true })
  }, 20_000)
})

describe('what can be turned', () => {
  it('is only turned towards calling sooner', () => {
    const rules = { ...defaultRules, 'water-too-hot': { ...defaultRules['water-too-hot'], limit: 28.5 } }
    const limits = proposalsFor(['water-too-hot'], rules).map(({ setting }) => setting.limit)
    expect(limits).toEqual([28.4, 28])
    const ahead = proposalsFor(['water-heading-hot'], rules).map(({ setting }) => setting.limit)
    expect(ahead).toEqual([45, 60, 90, 120])
  })
  it('begins with switching a rule on that is off', () => {
    const off = { ...defaultRules, 'air-lost': { ...defaultRules['air-lost'], enabled: false } }
    const all = proposalsFor(['air-lost'], off)
    expect(all[0]).toMatchObject({ knob: 'enabled' })
    expect(all.every(({ setting }) => setting.enabled)).toBe(true)
  })
})

describe('what is worth holding against other batches', () => {
  const call = (limit: number, calledAtMs: number): SoonerCall => ({
    proposal: {
      rule: 'water-too-hot',
      knob: 'limit',
      setting: { ...defaultRules['water-too-hot'], limit },
    },
    calledAtMs,
    gainedMs: 1,
  })
  it('is the greatest gain first, and of those that gain the same the mildest', () => {
    const calls = [call(29, 900_000), call(28.7, 600_000), call(28.4, 590_000)]
    expect(worthwhile(calls).map(({ proposal }) => proposal.setting.limit)).toEqual([28.7, 29])
  })
})
