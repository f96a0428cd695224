/** The stretch of time that the curves show, Unix ms. */
export interface TimeWindow {
  readonly fromMs: number
  readonly toMs: number
}

export const Span = { batch: 'batch', day: '24h', sixHours: '6h', hour: '1h' } as const
export type Span = (typeof Span)[keyof typeof Span]

const HOUR_MS = 3_600_000
const SPAN_MS: Record<Exclude<Span, 'batch'>, number> = {
  '24h': 24 * HOUR_MS,
  '6h': 6 * HOUR_MS,
  '1h': HOUR_MS,
}
const NARROWEST_MS = 60_000
const WIDEST_MS = 60 * 24 * HOUR_MS

/** Beyond the end of its harvest a batch is shown for so much of its length: what comes after is part of the picture. */
const PAST_HARVEST = 0.06
/** So much of a span lies ahead of now while a batch is on its way, and so much when there is nothing to expect. */
const AHEAD = 1 / 6
const ROOM_TO_GROW = 0.04

/** The window of a span: a batch to past its harvest, anything else up to a little beyond now. */
export function spanWindow(
  span: Span,
  nowMs: number,
  batch: { readonly startedMs: number; readonly untilMs: number | null } | null,
): TimeWindow {
  if (span === 'batch' && batch) {
    const harvestMs =
      batch.untilMs === null ? 0 : batch.untilMs + (batch.untilMs - batch.startedMs) * PAST_HARVEST
    const endMs = Math.max(nowMs + 10 * 60_000, nowMs + (nowMs - batch.startedMs) * AHEAD, harvestMs)
    return stretchWindow(batch.startedMs, endMs)
  }
  const length = SPAN_MS[span === 'batch' ? '24h' : span]
  return { fromMs: nowMs - length, toMs: nowMs + length * (batch ? AHEAD : ROOM_TO_GROW) }
}

/** A stretch of time with a little room on both sides. */
export function stretchWindow(fromMs: number, toMs: number): TimeWindow {
  const padMs = Math.max(NARROWEST_MS / 2, (toMs - fromMs) * 0.02)
  return { fromMs: fromMs - padMs, toMs: toMs + padMs }
}

/** Wider (factor above 1) or narrower about a place in the window (0 left, 1 right). */
export function zoom(window: TimeWindow, anchor: number, factor: number): TimeWindow {
  const length = window.toMs - window.fromMs
  const next = Math.min(WIDEST_MS, Math.max(NARROWEST_MS, length * factor))
  const fixedMs = window.fromMs + length * anchor
  return { fromMs: fixedMs - next * anchor, toMs: fixedMs + next * (1 - anchor) }
}

/** Moved by a share of its length; positive shows later times. */
export function pan(window: TimeWindow, share: number): TimeWindow {
  const by = (window.toMs - window.fromMs) * share
  return { fromMs: window.fromMs + by, toMs: window.toMs + by }
}
