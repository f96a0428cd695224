import { writeFileSync } from 'node:fs'
import { gzipSync } from 'node:zlib'
import { PROGRAM } from '../../broker/version.ts'
import { liveSeason } from './live.ts'
import { ANCHOR_MS, LOTS, planSeason, SEED } from './plan.ts'

/** Writes the demo's invented season anew: `npm run season`. The same seed gives the same file. */
const began = performance.now()
const batches = await liveSeason(planSeason(SEED), PROGRAM)
const lots = LOTS.map(({ name, grams, keptIn, note }) => ({ name, gramsBought: grams, keptIn, note }))
const json = JSON.stringify({ anchorMs: ANCHOR_MS, seed: SEED, lots, batches })
const file = new URL('../../sim/demo/season.json.gz', import.meta.url)
// Without a date in the header: the same season is the same bytes.
const bytes = gzipSync(json, { level: 9 })
writeFileSync(file, bytes)
const alarms = batches.reduce((sum, { alarms }) => sum + alarms.length, 0)
console.log(
  `${batches.length} batches, ${alarms} alarms, ${Math.round(bytes.byteLength / 1024)} kB (${Math.round(json.length / 1024)} kB unpacked), ${Math.round((performance.now() - began) / 1000)} s`,
)
