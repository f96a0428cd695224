// Plays a season of spoilt and well batches, has each diagnosed, and writes how well they were blamed.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { barsOf, isRight, sectionOf } from './figures.ts'
import { playSeason } from './season.ts'
import { playUnseen, unseenTable } from './unseen.ts'

const USAGE = `Usage: npm run blame -- [flags]

  --each N      batches with each of fourteen causes at each of four strengths (5)
  --well N      well batches (150)
  --pairs N     batches with two causes (80)
  --seed N      another season (100; the diagnosis was built while looking at 1 to 9)
  --unseen N    instead: N batches of each kind whose cause nobody measured, and whose lot may be to blame
  --write       puts the tables into DEVELOPERS.md`

const { values } = parseArgs({
  options: {
    each: { type: 'string', default: '5' },
    well: { type: 'string', default: '150' },
    pairs: { type: 'string', default: '80' },
    seed: { type: 'string', default: '100' },
    unseen: { type: 'string' },
    write: { type: 'boolean', default: false },
    help: { type: 'boolean', short: 'h', default: false },
  },
})
if (values.help) {
  console.log(USAGE)
  process.exit(0)
}
const whole = (flag: string, given: string) => {
  const value = Number(given)
  if (Number.isInteger(value) && value >= 1) return value
  console.error(`Cannot use --${flag}: it is a whole number from 1, got ${given}`)
  process.exit(2)
}
const [each, well, pairs, seed] = [
  whole('each', values.each),
  whole('well', values.well),
  whole('pairs', values.pairs),
  whole('seed', values.seed),
]

const SEASON = ['<!-- written by npm run blame -- --write -->', '<!-- so far -->'] as const
const LOTS = ['<!-- written by npm run blame -- --unseen 10 --write -->', '<!-- lots so far -->'] as const
if (values.unseen !== undefined) {
  const batches = playUnseen(seed, whole('unseen', values.unseen))
  const table = unseenTable(batches, seed)
  console.log(table)
  if (values.write) write(table, LOTS)
  process.exit(0)
}

const season = playSeason({
  each,
  well,
  pairs,
  seed,
  onBatch: done => {
    if (done % 25 === 0) console.error(`${done} batches`)
  },
})
const bars = barsOf(season)
const section = sectionOf(season, bars, seed)
console.log(section)
for (const one of season)
  if (!isRight(one) && (one.matters || one.faults.length === 0))
    console.log(
      `wrong: ${one.faults.join(' and ') || 'well'}, strength ${one.strength}, seed ${one.seed}: ${one.named.join(', ') || one.verdict}`,
    )
for (const { words, hits, of, kept } of bars)
  console.log(`${kept ? 'kept  ' : 'MISSED'} ${words}: ${hits} of ${of}`)
const folder = new URL('../../dist/blame/', import.meta.url)
mkdirSync(folder, { recursive: true })
const file = new URL('season.json', folder)
writeFileSync(file, JSON.stringify(season))
console.log(`Every batch is in ${fileURLToPath(file)}`)
if (values.write) write(section, SEASON)
process.exitCode = bars.every(bar => bar.kept) ? 0 : 1

function write(tables: string, [begin, end]: readonly [string, string]): void {
  const page = new URL('../../DEVELOPERS.md', import.meta.url)
  const text = readFileSync(page, 'utf8')
  const [from, to] = [text.indexOf(begin), text.indexOf(end)]
  if (from < 0 || to < from)
    throw new Error(`Cannot write into DEVELOPERS.md: it has no "${begin}" before "${end}"`)
  writeFileSync(page, `${text.slice(0, from + begin.length)}\n\n${tables}\n\n${text.slice(to)}`)
}
