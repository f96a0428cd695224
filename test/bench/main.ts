import { mkdirSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { alarm } from './alarm.ts'
import { assembly } from './assembly.ts'
import { compare } from './compare.ts'
import { file } from './file.ts'
import { history } from './history.ts'
import { intake } from './intake.ts'
import { latency } from './latency.ts'
import { machine } from './machine.ts'
import { memory } from './memory.ts'
import { model } from './model.ts'
import { page } from './page.ts'
import { planning } from './planning.ts'
import { replay } from './replay.ts'
import { rules } from './rules.ts'
import { isMissed, type Settings, type Subject } from './subject.ts'
import { table, type Row } from './table.ts'
import { told } from './told.ts'
import { wear } from './wear.ts'
import { workers } from './workers.ts'

const SUBJECTS: readonly Subject[] = [
  intake,
  assembly,
  latency,
  alarm,
  told,
  history,
  model,
  planning,
  rules,
  replay,
  compare,
  file,
  page,
  wear,
  workers,
  memory,
]
const USAGE = `Usage: npm run bench -- [flags]

  --only A,B       of ${SUBJECTS.map(({ name }) => name).join(', ')}; all by default
  --repeats N      how often each comparison is made (5)
  --minutes N      how long memory is watched (10)
  --quick          short runs that show whether it works; their figures are no evidence
  --profile DIR    write V8 profiles of the measured program there`

const { values } = parseArgs({
  options: {
    only: { type: 'string' },
    repeats: { type: 'string' },
    minutes: { type: 'string' },
    quick: { type: 'boolean', default: false },
    profile: { type: 'string' },
    help: { type: 'boolean', short: 'h', default: false },
  },
})
if (values.help) {
  console.log(USAGE)
  process.exit(0)
}
const wanted = values.only?.split(',') ?? SUBJECTS.map(({ name }) => name)
const unknown = wanted.filter(name => !SUBJECTS.some(subject => subject.name === name))
if (unknown.length > 0) {
  console.error(`Cannot measure ${unknown.join(', ')}: no such subject\n\n${USAGE}`)
  process.exit(2)
}
if (values.profile !== undefined) mkdirSync(values.profile, { recursive: true })
const settings: Settings = {
  quick: values.quick,
  repeats: positive('--repeats', values.repeats, values.quick ? 1 : 5),
  minutes: positive('--minutes', values.minutes, values.quick ? 0.5 : 10),
  profileDir: values.profile ?? null,
  say: line => console.error(line),
}

const rows: Row[] = []
const broken: string[] = []
for (const subject of SUBJECTS.filter(({ name }) => wanted.includes(name))) {
  console.error(`\n${subject.name}`)
  try {
    for (const figure of await subject.measure(settings)) rows.push({ subject: subject.name, ...figure })
  } catch (error) {
    // One subject that cannot be measured must not cost the figures of the others.
    console.error(error)
    broken.push(
      `${subject.name} could not be measured: ${error instanceof Error ? error.message : String(error)}`,
    )
  }
}

const missed = rows.filter(isMissed)
console.log(`\n${table(rows)}\n\n${machine().join('\n')}`)
for (const line of broken) console.log(line)
if (settings.quick) console.log('A quick run: these figures are no evidence.')
console.log(
  missed.length + broken.length === 0
    ? 'Every bar is kept.'
    : `${missed.length} of ${rows.filter(row => row.bar).length} bars missed, ${broken.length} subjects broken.`,
)
process.exit(missed.length + broken.length === 0 ? 0 : 1)

function positive(flag: string, text: string | undefined, otherwise: number): number {
  const value = text === undefined ? otherwise : Number(text)
  if (value > 0) return value
  console.error(`Cannot use ${flag}: it is a number above 0, got ${text}`)
  process.exit(2)
}
