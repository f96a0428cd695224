// Plays seasons of unknown lots, forecasts every batch at half-time, and writes how right the forecasts were.
import { mkdirSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { LOT_RANGE_Z } from '../../sim/biology/lot.ts'
import { barsOf } from './bars.ts'
import { figuresOf, tableOf } from './figures.ts'
import { reportPage } from './report.ts'
import { playSeason } from './season.ts'

const USAGE = `Usage: npm run skill -- [flags]

  --lots N      lots that nobody knows, five batches of each (200)
  --seed N      another season (3; the model was built while looking at 1 and 2)
  --range-z Z   how far lots scatter: -25 % and +60 % lie so many standard deviations out (${LOT_RANGE_Z})`

const { values } = parseArgs({
  options: {
    lots: { type: 'string', default: '200' },
    seed: { type: 'string', default: '3' },
    'range-z': { type: 'string', default: String(LOT_RANGE_Z) },
    help: { type: 'boolean', short: 'h', default: false },
  },
})
if (values.help) {
  console.log(USAGE)
  process.exit(0)
}
const lots = positive('--lots', values.lots)
const seed = positive('--seed', values.seed)
const rangeZ = positive('--range-z', values['range-z'])

const scored = playSeason({
  lots,
  seed,
  rangeZ,
  onLot: done => {
    if (done % 10 === 0) console.error(`${done} of ${lots} lots`)
  },
})
const figures = figuresOf(scored)
const bars = barsOf(figures)
const folder = new URL('../../dist/skill/', import.meta.url)
mkdirSync(folder, { recursive: true })
const page = new URL('report.html', folder)
writeFileSync(page, reportPage({ lots, seed, rangeZ, scored, figures, bars }))
writeFileSync(new URL('figures.md', folder), `${tableOf(figures)}\n`)
writeFileSync(new URL('batches.json', folder), JSON.stringify(scored))

console.log(tableOf(figures))
for (const bar of bars) {
  console.log(`${bar.kept ? 'kept  ' : 'MISSED'} ${bar.words}: ${bar.value.toFixed(2)} ${bar.unit}`)
}
console.log(`The report is ${fileURLToPath(page)}`)
process.exitCode = bars.every(bar => bar.kept) ? 0 : 1

function positive(flag: string, given: string): number {
  const value = Number(given)
  if (value > 0) return value
  console.error(`Cannot use ${flag}: it is a number above 0, got ${given}`)
  process.exit(2)
}
