// Plays faults, well vessels and one-thing failures of whole rooms, and writes how well they were called.
import { mkdirSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { FAULTS, playFault, type Played } from './faults.ts'
import {
  failureBars,
  faultBars,
  healthyBars,
  kindsOf,
  LEAD_MIN,
  runawayFigures,
  tableOf,
  TELLABLE_MIN,
} from './figures.ts'
import { playHealthy } from './healthy.ts'
import { FAILURES, playFailure, type FailurePlayed } from './one-failure.ts'

const USAGE = `Usage: npm run alarms -- [flags]

  --faults N     of each kind (25)
  --days N       well vessel-days (1000)
  --rooms N      rooms of twelve vessels for each failure (3)
  --seed N       others (100; the rules were tuned while looking at 1 to 300)`

const { values } = parseArgs({
  options: {
    faults: { type: 'string', default: '25' },
    days: { type: 'string', default: '1000' },
    rooms: { type: 'string', default: '3' },
    seed: { type: 'string', default: '100' },
    help: { type: 'boolean', short: 'h', default: false },
  },
})
if (values.help) {
  console.log(USAGE)
  process.exit(0)
}
const [faults, days, rooms, seed] = [values.faults, values.days, values.rooms, values.seed].map(Number)
if (!(faults! >= 1 && days! > 0 && rooms! >= 1 && Number.isInteger(seed))) {
  console.error(`Cannot play: each flag is a number above 0\n\n${USAGE}`)
  process.exit(2)
}

const played: Played[] = []
for (const fault of FAULTS) {
  for (let at = 0; at < faults!; at++) played.push(await playFault(fault, seed! + at))
  console.error(`${fault} played`)
}
const failures: FailurePlayed[] = []
for (const failure of FAILURES) {
  for (let at = 0; at < rooms!; at++) failures.push(await playFailure(failure, seed! + at))
  console.error(`${failure.name}: played`)
}
let saidDays = 0
const healthy = await playHealthy({
  vesselDays: days!,
  seed: seed!,
  onBatch(done) {
    if (done < saidDays + 50) return
    saidDays = done
    console.error(`${Math.floor(done)} of ${days} well vessel-days`)
  },
})

const bars = [...faultBars(played), ...healthyBars(healthy), ...failureBars(failures)]
const runaways = runawayFigures(played)
const falseBy = new Map<string, number>()
for (const { rule } of healthy.calls) falseBy.set(rule, (falseBy.get(rule) ?? 0) + 1)
console.log(tableOf(kindsOf(played)))
console.log(
  `Runaways: ${runaways.allInTime} of all ${runaways.all} called ${LEAD_MIN} min before the limit, ${runaways.possible} of which take as long at all; of those that take ${TELLABLE_MIN} min or more, ${runaways.tellableInTime} of ${runaways.tellable}.`,
)
console.log(
  `Well: ${healthy.vesselDays.toFixed(0)} vessel-days in ${healthy.batches} batches, ${healthy.calls.length} calls (${[...falseBy].map(([rule, calls]) => `${rule} ${calls}`).join(', ')}).`,
)
for (const { name, seed: of, calls, most } of failures)
  if (most > 1 || calls.length === 0)
    console.log(`${name}, seed ${of}: ${calls.map(call => call.rule).join(', ')}`)
for (const bar of bars)
  console.log(`${bar.kept ? 'kept  ' : 'MISSED'} ${bar.words}: ${Number(bar.value.toFixed(3))}`)
const folder = new URL('../../dist/alarms/', import.meta.url)
mkdirSync(folder, { recursive: true })
const file = new URL('played.json', folder)
writeFileSync(file, JSON.stringify({ played, failures, healthy }))
console.log(`Everything that was played is in ${fileURLToPath(file)}`)
process.exitCode = bars.every(bar => bar.kept) ? 0 : 1
