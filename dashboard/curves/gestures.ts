import { pan, type TimeWindow, zoom } from './window.ts'

export interface GestureTarget {
  readonly window: () => TimeWindow
  readonly show: (window: TimeWindow) => void
}

const KEY_PAN = 0.15
const KEY_ZOOM = 1.35

/**
 * Fingers, mouse, wheel and keys on a plot. One finger moves along, two pinch; up and down stays the page's own. The wheel
 * zooms only with Ctrl or once the plot has the focus, so that scrolling the page past it does not change it.
 */
export function listen(over: HTMLElement, focus: HTMLElement, target: GestureTarget): () => void {
  const fingers = new Map<number, number>()
  const share = (clientX: number) => {
    const box = over.getBoundingClientRect()
    return box.width === 0 ? 0.5 : (clientX - box.left) / box.width
  }

  const down = (event: PointerEvent): void => {
    if (event.button !== 0) return
    fingers.set(event.pointerId, share(event.clientX))
    over.setPointerCapture(event.pointerId)
  }
  const move = (event: PointerEvent): void => {
    const before = fingers.get(event.pointerId)
    if (before === undefined) return
    const now = share(event.clientX)
    if (fingers.size === 1) target.show(pan(target.window(), before - now))
    else {
      const [other] = [...fingers].filter(([id]) => id !== event.pointerId).map(([, at]) => at)
      if (other !== undefined) target.show(pinch(target.window(), other, before, now))
    }
    fingers.set(event.pointerId, now)
  }
  const up = (event: PointerEvent): void => {
    fingers.delete(event.pointerId)
  }
  const wheel = (event: WheelEvent): void => {
    const focused = (focus.getRootNode() as ShadowRoot).activeElement === focus
    if (!event.ctrlKey && !focused) return
    event.preventDefault()
    if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) target.show(pan(target.window(), event.deltaX / 800))
    else target.show(zoom(target.window(), share(event.clientX), Math.exp(event.deltaY / 400)))
  }
  const key = (event: KeyboardEvent): void => {
    const next = byKey(event.key, target.window())
    if (!next) return
    event.preventDefault()
    target.show(next)
  }

  over.addEventListener('pointerdown', down)
  over.addEventListener('pointermove', move)
  over.addEventListener('pointerup', up)
  over.addEventListener('pointercancel', up)
  over.addEventListener('wheel', wheel, { passive: false })
  focus.addEventListener('keydown', key)
  return () => {
    over.removeEventListener('pointerdown', down)
    over.removeEventListener('pointermove', move)
    over.removeEventListener('pointerup', up)
    over.removeEventListener('pointercancel', up)
    over.removeEventListener('wheel', wheel)
    focus.removeEventListener('keydown', key)
  }
}

/** One finger of two moved: the times under both stay under them. Places are shares of the window. */
export function pinch(window: TimeWindow, still: number, before: number, now: number): TimeWindow {
  const apart = now - still
  // Fingers that meet would ask for an endless stretch of time.
  if (Math.abs(apart) < 0.03) return window
  return zoom(window, still, Math.min(4, Math.max(0.25, Math.abs((before - still) / apart))))
}

/** What a key asks for; `null` for a key that is not ours. */
export function byKey(key: string, window: TimeWindow): TimeWindow | null {
  switch (key) {
    case 'ArrowLeft':
      return pan(window, -KEY_PAN)
    case 'ArrowRight':
      return pan(window, KEY_PAN)
    case '+':
    case '=':
      return zoom(window, 0.5, 1 / KEY_ZOOM)
    case '-':
      return zoom(window, 0.5, KEY_ZOOM)
    default:
      return null
  }
}
