import type { Alarm } from '../../broker/web/api/schemas.ts'
import { hasCome } from '../words/alarm.ts'
import { alarmName } from '../words/set-aside.ts'

type Aside = ReadonlyMap<string, Alarm>

/** Of a warning, the alarm of what it warned of, once that has come. */
export function foretold(alarm: Alarm, aside: Aside): Alarm | undefined {
  if (!hasCome(alarm)) return undefined
  return all(alarm, aside).find(
    ({ rule, vesselId }) => rule === 'water-too-hot' && vesselId === alarm.vesselId,
  )
}

/** What is silent because of an alarm. That water is too hot and that it was warned of is one thing, and not one more. */
export function consequences(alarm: Alarm, aside: Aside): Alarm[] {
  const itself = foretold(alarm, aside)
  const isItsWarning = ({ rule, vesselId }: Alarm) =>
    alarm.rule === 'water-too-hot' && rule === 'water-heading-hot' && vesselId === alarm.vesselId
  return all(alarm, aside).filter(each => each !== itself && !isItsWarning(each))
}

/** `Because of it: Cooling, Cone 2; Light out, Cone 2.`, or nothing. */
export function chainWords(
  alarm: Alarm,
  aside: Aside,
  vesselName: (vesselId: string) => string | undefined,
): string {
  const names = consequences(alarm, aside).map(each => alarmName(each, vesselName(each.vesselId ?? '')))
  return names.length === 0 ? '' : `Because of it: ${names.join('; ')}.`
}

/** Whether people were called for it all the same: by its cause, or by that one's. `calling`: what stands and is not set aside. */
export function isCalledFor({ causedBy }: Alarm, calling: Aside, aside: Aside): boolean {
  const seen = new Set<string>()
  for (let id = causedBy; id !== null && !seen.has(id); id = aside.get(id)?.causedBy ?? null) {
    if (calling.has(id)) return true
    seen.add(id)
  }
  return false
}

/** Whether it is what a warning in the same list warned of: that one is told as this, and not beside it. */
export function isForetold(alarm: Alarm, aside: Aside): boolean {
  const cause = alarm.causedBy === null ? undefined : aside.get(alarm.causedBy)
  return cause !== undefined && foretold(cause, aside)?.id === alarm.id
}

const all = ({ consequences }: Alarm, aside: Aside): Alarm[] =>
  consequences.flatMap(id => aside.get(id) ?? [])
