// A share of `npm run alarms`: every bar is judged on a smaller number of faults, vessel-days and rooms.
import { describe, expect, it } from 'vitest'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import { World } from '../../sim/world.ts'
import { FAULTS, playFault } from './faults.ts'
import { kindsOf, runawayFigures } from './figures.ts'
import { playHealthy } from './healthy.ts'
import { FAILURES, playFailure } from './one-failure.ts'
import { HOUR_MS, WatchedRoom } from './watched-room.ts'

const failure = (name: string) => FAILURES.find(one => one.name === name)!

describe('a share of the faults', () => {
  it.each(FAULTS)(
    '%s is called, and before it does damage where that can be',
    { timeout: 60_000 },
    async fault => {
      const played = [await playFault(fault, 201), await playFault(fault, 202)]
      const [figures] = kindsOf(played)
      expect(figures!.missed).toBe(0)
      // A runaway may take less time to the limit than it takes to be seen.
      if (fault !== 'lamp-runaway') expect(figures!.late).toBe(0)
      expect(played.flatMap(({ before }) => before)).toEqual([])
    },
  )

  it(
    'calls a runaway that can be told a quarter of an hour before the limit',
    { timeout: 60_000 },
    async () => {
      const played = []
      for (let seed = 210; seed < 218; seed++) played.push(await playFault('lamp-runaway', seed))
      const { tellable, tellableInTime } = runawayFigures(played)
      expect(tellable).toBeGreaterThan(3)
      expect(tellableInTime).toBe(tellable)
    },
  )

  it('calls for a fading pump hours before its air is nearly gone', { timeout: 60_000 }, async () => {
    const watched = await WatchedRoom.open()
    const startMs = watched.nowMs
    const scenario = scenarioNamed('pump-fading')
    const { litres, cystsGpl, salinityGpl } = scenario
    const vesselId = await watched.addVessel('Cone', scenario, 'bench')
    await watched.room.startBatch({ vesselId, litres, cystsG: cystsGpl * litres, salinityGpl })
    const world = new World(scenario, { seed: 1 })
    for (let step = 1; step <= 24 * 120; step++) {
      world.step(30)
      watched.nowMs = startMs + step * 30_000
      watched.send('bench', [{ prefix: '', of: world.measure() }])
      watched.tick()
      await watched.breathe()
    }
    const hourOf = (rule: string) =>
      (watched.calls.find(call => call.rule === rule)!.atMs - startMs) / HOUR_MS
    // It is called again as less is left.
    expect([...new Set(watched.calls.map(({ rule }) => rule))]).toEqual(['air-fading', 'air-lost'])
    // It fades from 12 h to 22 h.
    expect(hourOf('air-fading')).toBeGreaterThan(12)
    expect(hourOf('air-lost') - hourOf('air-fading')).toBeGreaterThan(4)
  })
})

describe('a share of the quiet', () => {
  it('calls nobody for ten days of well vessels, or once', { timeout: 60_000 }, async () => {
    const { calls, vesselDays } = await playHealthy({ vesselDays: 10, seed: 301 })
    expect(vesselDays).toBeGreaterThanOrEqual(10)
    // At the bar of one a month, two or more in ten days come about once in twenty.
    expect(calls.length).toBeLessThanOrEqual(1)
  })

  it.each(['the power of all goes off', 'a strip with all lamps and pumps goes off', 'one lamp runs away'])(
    'calls once in ten minutes when %s',
    { timeout: 60_000 },
    async name => {
      const { calls, most } = await playFailure(failure(name), 401)
      expect(calls.length).toBeGreaterThan(0)
      expect(most).toBe(1)
    },
  )
})
