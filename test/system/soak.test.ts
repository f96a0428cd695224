import { expect, it } from 'vitest'
import { soak } from '../soak/soak.ts'

/** A share of `npm run soak`: two simulated hours of six vessels, two kills. Expected: what was sampled is stored, or counted as dropped. */
it('soaks for two simulated hours with kills and losses of the network', async () => {
  const { rows, kills, misses, alarms } = await soak({ hours: 2, vessels: 6, speed: 900, seed: 7, kills: 2 })
  expect(misses).toEqual([])
  expect(kills).toBe(2)
  expect(rows.reduce((sum, { stored }) => sum + stored, 0)).toBeGreaterThan(1000)
  expect(alarms.kept).toBe(alarms.logged)
})
