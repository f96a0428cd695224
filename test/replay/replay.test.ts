import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Quality } from '../../broker/intake/reading.ts'
import { HOUR_MS, LivedRoom, MINUTE_MS, plain } from './lived-room.ts'

/** What may befall a room; each lasts for some steps of half a minute, or is done at once. */
const Trouble = fc.oneof(
  fc.record({ kind: fc.constantFrom('hot', 'cold', 'no-air', 'dark', 'bad-probe', 'no-network', 'strip') }),
  fc.record({ kind: fc.constantFrom('kill') }),
  fc.record({
    kind: fc.constantFrom(
      'acknowledge',
      'shelve',
      'take-out',
      'hush',
      'end-batch',
      'swimmers',
      'swap',
      'calibrate',
    ),
  }),
)
const Script = fc.array(
  fc.record({
    vessel: fc.nat({ max: 2 }),
    // Shorter losses of the network leave no mark in the log of the watch: a reading that comes within a minute is of now.
    forSteps: fc.integer({ min: 4, max: 40 }),
    thenSteps: fc.integer({ min: 0, max: 20 }),
    trouble: Trouble,
  }),
  { minLength: 3, maxLength: 14 },
)
/** More than usual by BRINEWATCH_REPLAY_RUNS. */
const RUNS = Number(process.env['BRINEWATCH_REPLAY_RUNS'] ?? 25)
const STEP_MS = 30_000
const NAMES = ['a', 'b', 'c']

interface Episode {
  readonly vessel: number
  readonly forSteps: number
  readonly thenSteps: number
  readonly trouble: { readonly kind: string }
}

async function live(script: readonly Episode[]) {
  const lived = await LivedRoom.open()
  const ids: string[] = []
  for (const name of NAMES) ids.push(await lived.addVessel(name, name))
  await lived.pass(1234)
  for (const vesselId of ids)
    await lived.room.startBatch({ vesselId, litres: 1, cystsG: 2, salinityGpl: 25, lot: 'spring' })
  await lived.pass(77)
  const heatedC = [0, 0, 0]

  async function step(trouble: string | null, at: number): Promise<void> {
    await lived.pass(STEP_MS / 2)
    for (const [n, name] of NAMES.entries()) {
      const here = n === at || trouble === 'strip'
      const is = (kind: string) => here && trouble === kind
      heatedC[n] = is('hot') ? heatedC[n]! + 0.15 : is('cold') ? heatedC[n]! - 0.2 : heatedC[n]! * 0.9
      const wave = Math.sin(lived.nowMs / 97_000 + n) * 0.05
      lived.measure(
        name,
        {
          water: is('bad-probe') ? -127 : 26.5 + heatedC[n] + wave,
          air: is('no-air') ? 0 : 0.6,
          light: is('dark') ? 20 : 3000,
        },
        {
          reaches: !is('no-network') && trouble !== 'strip',
          quality: is('bad-probe') ? Quality.disconnected : Quality.good,
        },
      )
      await lived.pass(111)
    }
    await lived.pass(STEP_MS / 2 - 333)
  }
  const steps = async (count: number, trouble: string | null, at: number) => {
    for (let n = 0; n < count; n++) await step(trouble, at)
  }

  await steps(6, null, 0)
  for (const { vessel, forSteps, thenSteps, trouble } of script) {
    const { kind } = trouble
    const id = ids[vessel]!
    await lived.pass(7)
    if (kind === 'kill') {
      lived.kill()
      await steps(forSteps, null, vessel)
      await lived.pass(13)
      await lived.start()
    } else if (
      ['acknowledge', 'shelve', 'take-out', 'hush', 'end-batch', 'swimmers', 'swap', 'calibrate'].includes(
        kind,
      )
    ) {
      const standing = await lived.room.alarms({ standing: true, limit: 9 })
      const alarm = standing[forSteps % Math.max(standing.length, 1)]
      const batch = lived.room.vessel(id).batch
      if (kind === 'acknowledge' && alarm) await lived.room.acknowledge(alarm.id, 'Ada')
      if (kind === 'shelve' && alarm)
        await lived.room.shelve(alarm.id, { by: 'Ada', forMs: 6 * MINUTE_MS }).catch(() => undefined)
      if (kind === 'take-out' && alarm?.vesselId)
        await lived.room.takeOutOfService(alarm.vesselId, alarm.rule, { by: 'Ada' })
      if (kind === 'hush')
        await lived.room.suppress(id, { reason: 'harvest', forMs: 5 * MINUTE_MS, by: 'Ada' })
      if (kind === 'swimmers' && batch)
        await lived.room.recordEvent(batch.id, { kind: 'first-swimmers', by: 'Ada' }).catch(() => undefined)
      if (kind === 'end-batch' && batch) await lived.room.endBatch(batch.id, {})
      if (kind === 'end-batch' && !batch)
        await lived.room.startBatch({ vesselId: id, litres: 1, cystsG: 1, salinityGpl: 25, lot: 'spring' })
      if (kind === 'swap')
        await lived.room.assignChannels(id, { channels: {}, offsets: { water: forSteps / 20 } })
      if (kind === 'calibrate')
        await lived.room.assignChannels(id, {
          channels: {},
          offsets: {},
          corrections: { water: { offset: -forSteps / 20, gain: 1.02, uncertainty: forSteps / 100 } },
        })
    } else await steps(forSteps, kind, vessel)
    await steps(thenSteps, null, vessel)
  }
  await lived.pass(3)
  return lived
}

const SWAPPED_FOR_ITSELF: Episode[] = [
  { vessel: 0, forSteps: 5, thenSteps: 0, trouble: { kind: 'swap' } },
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'hot' } },
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'acknowledge' } },
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'acknowledge' } },
  { vessel: 0, forSteps: 4, thenSteps: 1, trouble: { kind: 'acknowledge' } },
]

/** Taken out once more with nothing else said: nothing has happened. */
const TAKEN_OUT_TWICE: Episode[] = [
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'hot' } },
  { vessel: 0, forSteps: 4, thenSteps: 1, trouble: { kind: 'acknowledge' } },
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'take-out' } },
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'take-out' } },
]

/** Gone again as soon as it was there. */
const KILLED_TWICE: Episode[] = [
  { vessel: 0, forSteps: 4, thenSteps: 1, trouble: { kind: 'no-air' } },
  { vessel: 0, forSteps: 6, thenSteps: 0, trouble: { kind: 'kill' } },
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'kill' } },
  { vessel: 0, forSteps: 4, thenSteps: 0, trouble: { kind: 'acknowledge' } },
]

describe('a recording lived through again', () => {
  it(
    'has the alarms that there were, step by step, over restarts, backlogs and what people did',
    async () => {
      let calls = 0
      await fc.assert(
        fc.asyncProperty(Script, async script => {
          const lived = await live(script)
          calls += lived.steps.filter(step => step.calls).length
          const again = plain(await lived.livedAgain())
          expect(again).toEqual(plain(lived.steps))
        }),
        // A channel that is set to what it is already changes nothing.
        { numRuns: RUNS, examples: [[SWAPPED_FOR_ITSELF], [TAKEN_OUT_TWICE], [KILLED_TWICE]] },
      )
      // A test of rooms in which nothing happens would prove nothing.
      expect(calls).toBeGreaterThan(25)
    },
    5_000 * RUNS,
  )

  it('tells each alarm of a room that has seen everything once', async () => {
    const kinds = ['hot', 'no-air', 'acknowledge', 'dark', 'no-network', 'kill', 'bad-probe', 'strip', 'cold']
    const lived = await live(
      kinds.map((kind, at) => ({ vessel: at % 3, forSteps: 36, thenSteps: 20, trouble: { kind } })),
    )
    const called = new Set(lived.steps.filter(({ calls }) => calls).map(({ alarm }) => alarm.rule))
    expect([...called]).toEqual(
      expect.arrayContaining([
        'water-heading-hot',
        'air-lost',
        'light-out',
        'device-silent',
        'probe-fault',
        'power-lost',
      ]),
    )
    expect(plain(await lived.livedAgain())).toEqual(plain(lived.steps))
    expect(lived.nowMs).toBeGreaterThan(HOUR_MS)
  }, 60_000)
})
