const MINUTE_MS = 60_000
const STEP_MS = 5 * MINUTE_MS
const PAGE_MS = 60 * MINUTE_MS

/** Where a key takes the handle, Unix ms, kept within the recording; `null` for a key that is not the handle's. With Shift, a minute at a time. */
export function byKey(
  { key, shiftKey }: Pick<KeyboardEvent, 'key' | 'shiftKey'>,
  atMs: number,
  { fromMs, toMs }: { readonly fromMs: number; readonly toMs: number },
): number | null {
  const step = shiftKey ? MINUTE_MS : STEP_MS
  const to = (ms: number) => Math.min(toMs, Math.max(fromMs, ms))
  switch (key) {
    case 'ArrowLeft':
    case 'ArrowDown':
      return to(atMs - step)
    case 'ArrowRight':
    case 'ArrowUp':
      return to(atMs + step)
    case 'PageDown':
      return to(atMs - PAGE_MS)
    case 'PageUp':
      return to(atMs + PAGE_MS)
    case 'Home':
      return fromMs
    case 'End':
      return toMs
    default:
      return null
  }
}

/** A notch of the wheel is 100 px in most browsers: ten minutes. */
const MS_A_PIXEL = (10 * MINUTE_MS) / 100

/** How far a turn of the wheel moves the handle, ms: down and right are later. */
export const byWheel = ({ deltaX, deltaY }: Pick<WheelEvent, 'deltaX' | 'deltaY'>): number =>
  (Math.abs(deltaX) > Math.abs(deltaY) ? deltaX : deltaY) * MS_A_PIXEL
