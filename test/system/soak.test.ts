import { expect, it } from 'vitest'
import { soak } from '../soak/soak.ts'

/** A share of `npm run soak`: an hour of six simulated vessels, one kill. Expected: what was sampled is stored, or counted as dropped. */
it('soaks for a simulated hour with a kill and losses of the network', async () => {
  const { rows, kills, misses, alarms } = await soak({ hours: 1, vessels: 6, speed: 600, seed: 7, kills: 1 })
  expect(misses).toEqual([])
  expect(kills).toBe(1)
  expect(rows.reduce((sum, { stored }) => sum + stored, 0)).toBeGreaterThan(1000)
  expect(alarms.kept).toBe(alarms.logged)
})
