import { describe, expect, it } from 'vitest'
import { byKey, pinch } from '../../../dashboard/curves/gestures.ts'
import { pan, spanWindow, zoom } from '../../../dashboard/curves/window.ts'

const HOUR_MS = 3_600_000
const window = { fromMs: 1_000_000, toMs: 1_000_000 + HOUR_MS }

describe('windows of time', () => {
  it('keep the time under the finger when they zoom', () => {
    const anchor = 0.25
    const next = zoom(window, anchor, 0.5)
    expect(next.toMs - next.fromMs).toBe(HOUR_MS / 2)
    expect(next.fromMs + anchor * (next.toMs - next.fromMs)).toBe(window.fromMs + anchor * HOUR_MS)
  })
  it('never become narrower than a minute or wider than two months', () => {
    const narrow = zoom(window, 0.5, 1e-9)
    const wide = zoom(window, 0.5, 1e9)
    expect(narrow.toMs - narrow.fromMs).toBeCloseTo(60_000, 3)
    expect(wide.toMs - wide.fromMs).toBeCloseTo(60 * 24 * HOUR_MS, 3)
  })
  it('move without changing their length', () => {
    expect(pan(window, 0.5)).toEqual({ fromMs: window.fromMs + HOUR_MS / 2, toMs: window.toMs + HOUR_MS / 2 })
  })
  it('follow fingers: the times under both stay under them', () => {
    const timeAt = (at: number, of: { fromMs: number; toMs: number }) =>
      of.fromMs + at * (of.toMs - of.fromMs)
    const next = pinch(window, 0.2, 0.6, 0.8)
    expect(timeAt(0.2, next)).toBeCloseTo(timeAt(0.2, window), 3)
    expect(timeAt(0.8, next)).toBeCloseTo(timeAt(0.6, window), 3)
    expect(pinch(window, 0.5, 0.6, 0.505)).toEqual(window)
  })
  it('answer keys, and leave other keys alone', () => {
    expect(byKey('ArrowRight', window)?.fromMs).toBeGreaterThan(window.fromMs)
    expect(byKey('+', window)?.fromMs).toBeGreaterThan(window.fromMs)
    expect(byKey('-', window)?.fromMs).toBeLessThan(window.fromMs)
    expect(byKey('Tab', window)).toBeNull()
  })
})

describe('spanWindow', () => {
  const nowMs = 100 * HOUR_MS
  it('shows a batch from its start to past its harvest', () => {
    const shown = spanWindow('batch', nowMs, {
      startedMs: nowMs - 20 * HOUR_MS,
      untilMs: nowMs + 8 * HOUR_MS,
    })
    expect(shown.fromMs).toBeLessThan(nowMs - 20 * HOUR_MS)
    expect(shown.toMs).toBeGreaterThan(nowMs + 8 * HOUR_MS)
  })
  it('leaves room for what is expected while a batch is on its way', () => {
    const batch = { startedMs: nowMs - 20 * HOUR_MS, untilMs: nowMs + 8 * HOUR_MS }
    expect(spanWindow('6h', nowMs, batch).toMs).toBe(nowMs + HOUR_MS)
    expect(spanWindow('6h', nowMs, null).toMs).toBeLessThan(nowMs + HOUR_MS / 2)
  })
  it('shows a day where there is no batch, with now inside', () => {
    const shown = spanWindow('batch', nowMs, null)
    expect(nowMs - shown.fromMs).toBe(24 * HOUR_MS)
    expect(shown.toMs).toBeGreaterThan(nowMs)
  })
})
