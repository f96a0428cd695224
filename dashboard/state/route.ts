import type { ReactiveController, ReactiveControllerHost } from 'lit'

/** What of a rule's settings an address may carry. */
export interface TriedSettings {
  readonly enabled?: boolean
  readonly limit?: number
  readonly onDelayS?: number
  readonly leastCostS?: number | undefined
}

/** Where the person is. */
export type Route =
  | { readonly view: 'room' }
  | { readonly view: 'vessel'; readonly vesselId: string }
  | { readonly view: 'recipe'; readonly vesselId: string }
  | { readonly view: 'lots' | 'held' | 'cleaning' | 'tables' | 'batches' | 'recipes' }
  | { readonly view: 'set-up' | 'harvest' | 'sheet' | 'report'; readonly id: string }
  /** A batch looked at again, at a moment (Unix ms) if one was asked for; or the one that was in a vessel at that moment. */
  | {
      readonly view: 'batch'
      readonly batchId: string
      readonly vesselId: string
      readonly atMs: number | null
    }
  /** Batches side by side: of a lot, of a vessel or the newest; some of them drawn over each other. */
  | {
      readonly view: 'compare'
      readonly lot: string
      readonly vesselId: string
      readonly batchIds: readonly string[]
      readonly by: 'start' | 'soaked' | 't10'
    }
  | { readonly view: 'plan' }
  | { readonly view: 'journal' }
  /** Trying a rule out, with some of its settings filled in, and on one batch besides the newest. */
  | {
      readonly view: 'try-out'
      readonly rule: string
      readonly asked: TriedSettings
      readonly batchId: string
    }
  | { readonly view: 'devices' }
  /** Sensors that are there already. */
  | { readonly view: 'topics' }
  | { readonly view: 'calibrate'; readonly probe: string }
  | { readonly view: 'settings' }
  /** A link that lets somebody in. */
  | { readonly view: 'join' }
  | { readonly view: 'nowhere' }

/** What an address means: `/vessel/abc` is one vessel's page, `/recipe?vessel=abc` what goes into it. */
export function parsePath(path: string, search = ''): Route {
  const [first, second, ...rest] = path.split('/').filter(part => part !== '')
  if (rest.length > 0) return { view: 'nowhere' }
  if (first === undefined) return { view: 'room' }
  if (first === 'vessel' && second !== undefined) return vesselRoute(second)
  if (first === 'recipe' && second === undefined)
    return { view: 'recipe', vesselId: new URLSearchParams(search).get('vessel') ?? '' }
  if (
    (first === 'set-up' || first === 'harvest' || first === 'sheet' || first === 'report') &&
    second === undefined
  )
    return { view: first, id: new URLSearchParams(search).get('of') ?? '' }
  if (first === 'batch' && second === undefined) return batchRoute(new URLSearchParams(search))
  if (first === 'compare' && second === undefined) return compareRoute(new URLSearchParams(search))
  if (
    (first === 'held' ||
      first === 'cleaning' ||
      first === 'tables' ||
      first === 'batches' ||
      first === 'recipes') &&
    second === undefined
  )
    return { view: first }
  if (first === 'try-out' && second === undefined) return tryOutRoute(new URLSearchParams(search))
  if (first === 'calibrate' && second === undefined)
    return { view: 'calibrate', probe: new URLSearchParams(search).get('of') ?? '' }
  if (
    (first === 'plan' ||
      first === 'journal' ||
      first === 'lots' ||
      first === 'devices' ||
      first === 'topics' ||
      first === 'join' ||
      first === 'settings') &&
    second === undefined
  )
    return { view: first }
  return { view: 'nowhere' }
}

function vesselRoute(part: string): Route {
  try {
    return { view: 'vessel', vesselId: decodeURIComponent(part) }
  } catch {
    return { view: 'nowhere' }
  }
}

function batchRoute(asked: URLSearchParams): Route {
  const atMs = Date.parse(asked.get('at') ?? '')
  return {
    view: 'batch',
    batchId: asked.get('of') ?? '',
    vesselId: asked.get('in') ?? '',
    atMs: Number.isFinite(atMs) ? atMs : null,
  }
}

function compareRoute(asked: URLSearchParams): Route {
  const by = asked.get('by')
  return {
    view: 'compare',
    lot: asked.get('lot') ?? '',
    vesselId: asked.get('vessel') ?? '',
    batchIds: (asked.get('of') ?? '').split(',').filter(id => id !== ''),
    by: by === 'soaked' || by === 't10' ? by : 'start',
  }
}

/** Batches side by side; what is left out is as usual. */
export function comparePath({
  lot = '',
  vesselId = '',
  batchIds = [],
  by = 'start',
}: Partial<Omit<Extract<Route, { view: 'compare' }>, 'view'>>): string {
  const asked = new URLSearchParams()
  if (lot !== '') asked.set('lot', lot)
  if (vesselId !== '') asked.set('vessel', vesselId)
  if (batchIds.length > 0) asked.set('of', batchIds.join(','))
  if (by !== 'start') asked.set('by', by)
  return asked.size === 0 ? '/compare' : `/compare?${asked}`
}

function tryOutRoute(asked: URLSearchParams): Route {
  const number = (name: string) => {
    const text = asked.get(name)
    const value = Number(text)
    return text !== null && text !== '' && Number.isFinite(value) && value >= 0 ? { [name]: value } : {}
  }
  return {
    view: 'try-out',
    rule: asked.get('rule') ?? '',
    asked: {
      ...(asked.get('enabled') === 'true' ? { enabled: true } : {}),
      ...number('limit'),
      ...number('onDelayS'),
      ...number('leastCostS'),
    },
    batchId: asked.get('of') ?? '',
  }
}

/** The try-out of a rule with its settings filled in, on one batch and the newest others. */
export function tryOutPath(rule: string, { enabled, ...numbers }: TriedSettings, batchId: string): string {
  const asked = new URLSearchParams({ rule })
  if (enabled) asked.set('enabled', 'true')
  for (const name of ['limit', 'onDelayS', 'leastCostS'] as const)
    if (numbers[name] !== undefined) asked.set(name, String(numbers[name]))
  if (batchId !== '') asked.set('of', batchId)
  return `/try-out?${asked}`
}

export const recipePath = (vesselId: string): string => `/recipe?vessel=${encodeURIComponent(vesselId)}`
export const setUpPath = (vesselId: string): string => `/set-up?of=${encodeURIComponent(vesselId)}`
export const harvestPath = (vesselId: string): string => `/harvest?of=${encodeURIComponent(vesselId)}`
/** A batch on one sheet of paper. */
export const sheetPath = (batchId: string): string => `/sheet?of=${encodeURIComponent(batchId)}`
/** What went wrong with a batch, on one page of paper. */
export const reportPath = (batchId: string): string => `/report?of=${encodeURIComponent(batchId)}`
/** A batch looked at again: what went wrong, and how it went, at a moment (Unix ms) if one is given. */
export function batchPath(batchId: string, atMs: number | null = null): string {
  const at = atMs === null ? '' : `&at=${new Date(atMs).toISOString()}`
  return `/batch?of=${encodeURIComponent(batchId)}${at}`
}
/** The batch that was in a vessel at a moment, Unix ms. */
export const batchThenPath = (vesselId: string, atMs: number): string =>
  `/batch?in=${encodeURIComponent(vesselId)}&at=${new Date(atMs).toISOString()}`
export const calibratePath = (probe: string): string => `/calibrate?of=${encodeURIComponent(probe)}`
export const vesselPath = (vesselId: string): string => `/vessel/${encodeURIComponent(vesselId)}`

/** Goes to an address without loading the page anew. */
export function go(path: string): void {
  history.pushState(null, '', path)
  dispatchEvent(new PopStateEvent('popstate'))
}

/** Follows the address, and takes plain clicks on links within the page. */
export class Router implements ReactiveController {
  route: Route = parsePath(location.pathname, location.search)
  readonly #host: ReactiveControllerHost

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }
  hostConnected(): void {
    addEventListener('popstate', this.#follow)
    document.addEventListener('click', this.#click)
  }
  hostDisconnected(): void {
    removeEventListener('popstate', this.#follow)
    document.removeEventListener('click', this.#click)
  }

  readonly #follow = (): void => {
    this.route = parsePath(location.pathname, location.search)
    this.#host.requestUpdate()
    scrollTo(0, 0)
  }

  readonly #click = (event: MouseEvent): void => {
    if (event.defaultPrevented || event.button !== 0) return
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return
    const link = event.composedPath().find(node => node instanceof HTMLAnchorElement)
    if (!link || link.target !== '' || link.origin !== location.origin || link.hasAttribute('download'))
      return
    if (parsePath(link.pathname).view === 'nowhere') return
    event.preventDefault()
    if (link.pathname !== location.pathname || link.search !== location.search)
      go(link.pathname + link.search)
  }
}
