import type { JournalEntry } from '../../broker/web/api/journal.ts'
import { isAcknowledging } from '../replay/alarms-then.ts'
import { HOW_IT_WENT_ON } from '../replay/caught-words.ts'
import { type Happening, namedFrom } from '../replay/happenings.ts'
import { ALARM_WORD } from '../words/alarm.ts'

/** An alarm that called again and again, in one sentence at its first call: from when to when, and as what in the end. */
export interface FoldedCalls {
  /** What its own lines begin with. */
  readonly name: string
  /** What those begin with that came after it was something else. */
  readonly later: readonly string[]
  readonly told: readonly Happening[]
}

/** Of alarms that called more than once in a batch, each kind by itself. `clock`: a moment, Unix ms, as it is written. */
export function foldedCalls(
  entries: readonly JournalEntry[],
  clock: (atMs: number) => string,
): FoldedCalls[] {
  const rules = new Set(entries.map(({ alarm }) => alarm.rule))
  return [...rules].flatMap(rule => {
    const own = entries.filter(({ alarm }) => alarm.rule === rule)
    const steps = own.flatMap(each => each.steps).sort((a, b) => Date.parse(a.at) - Date.parse(b.at))
    const calls = steps.filter(step => step.calls).map(({ at }) => Date.parse(at))
    const [first, last] = [calls[0], calls.at(-1)]
    if (first === undefined || last === undefined || calls.length < 2) return []
    const called = own.flatMap(each => namedCalls(rule, each.steps))
    const lastName = called.find(({ atMs }) => atMs === last)?.name ?? ALARM_WORD[rule]
    const answers = steps.filter(isAcknowledging)
    const name = ALARM_WORD[rule]
    const one = { kind: 'alarm', by: null, priority: own[0]?.alarm.priority ?? null } as const
    const wentOn = answers.length === 0 ? undefined : HOW_IT_WENT_ON[rule]
    const words = [
      `${name}: called ${calls.length === 2 ? 'twice' : `${calls.length} times`} from ${clock(first)} to ${clock(last)}${lastName === name ? '' : `, at last as ${lowered(lastName)}`}`,
      answered(answers.length, calls.length),
      wentOn,
    ]
    return [
      {
        name,
        later: called.map(each => each.name).filter(each => each !== name),
        told: [{ ...one, atMs: first, words: words.filter(each => each !== undefined).join(', ') }],
      },
    ]
  })
}

const lowered = (name: string): string => `${name.charAt(0).toLowerCase()}${name.slice(1)}`

/** One alarm's calls, each with what it was called for as. */
function namedCalls(rule: JournalEntry['alarm']['rule'], steps: JournalEntry['steps']) {
  let name: string = ALARM_WORD[rule]
  return steps.flatMap(({ at, reason, calls }) => {
    name = namedFrom(rule, reason, name)
    return calls ? [{ atMs: Date.parse(at), name }] : []
  })
}

function answered(answers: number, calls: number): string {
  if (answers === 0) return 'never answered'
  if (answers >= calls) return 'answered each time'
  return answers === 1 ? 'answered once' : `answered ${answers} times`
}
