import { HttpProblem } from '../problem.ts'
import { momentMs } from './describe.ts'

const DAY_MS = 86_400_000

/**
 * The span of time that a chart asks for, Unix ms. Without `to` it ends at `endMs`. Without `from` it begins with the
 * batch, or 24 h before its end when there is no batch or the batch began later than that.
 */
export function spanOf(
  asked: { from?: string | undefined; to?: string | undefined },
  batchStartedAtMs: number | undefined,
  endMs: number,
): { fromMs: number; toMs: number } {
  const toMs = asked.to === undefined ? endMs : momentMs('to', asked.to)
  if (asked.from === undefined) {
    const withBatch = batchStartedAtMs !== undefined && batchStartedAtMs < toMs
    return { fromMs: withBatch ? batchStartedAtMs : toMs - DAY_MS, toMs }
  }
  const fromMs = momentMs('from', asked.from)
  if (fromMs < toMs) return { fromMs, toMs }
  const message = 'Cannot read span: from must be earlier than to'
  throw new HttpProblem(422, message, { errors: [{ field: 'from', message }] })
}
