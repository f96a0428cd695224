import type { JournalEntry } from '../../broker/web/api/journal.ts'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { hasCome } from './alarm.ts'

/** What an ended or standing alarm of the past told, and whether it was a warning of something that came. */
export interface PastWords {
  readonly text: string
  readonly came: boolean
}

/**
 * A warning takes on the words of what it warned of once that has come. In a list that has both, it is told as it was called for:
 * by its `life` from the journal, where that is known.
 */
export function pastWords(alarm: Alarm, life: JournalEntry | undefined): PastWords {
  if (alarm.rule !== 'water-heading-hot') return { text: alarm.text, came: false }
  const came = hasCome(alarm) || (life?.steps.some(({ reason }) => reason === 'above-limit') ?? false)
  const first = life?.steps.find(({ says, calls }) => calls && says !== undefined)?.says
  return { text: first ?? (hasCome(alarm) ? '' : alarm.text), came }
}
