/** What the worker does with a request of the page. */
export type Way =
  /** Not ours to touch: the broker's own data, live or not at all. */
  | 'leave'
  /** A page of the dashboard: anew from the broker, and from the shell if the broker is away. */
  | 'page'
  /** A file with its content's hash in its name: what is kept is right for ever. */
  | 'kept'
  /** Another file of the shell: anew, and what is kept if the broker is away. */
  | 'fresh'

/** The service itself, as against the dashboard's files. `/a/…` is the page behind a link in a message: it acknowledges. */
const SERVICE = /^\/(?:api|mqtt|metrics|healthz|a)(?:\/|$)/

export function wayOf(
  request: Pick<Request, 'method' | 'mode' | 'url'>,
  origin: string,
  shell: ReadonlySet<string>,
): Way {
  const url = new URL(request.url)
  if (request.method !== 'GET' || url.origin !== origin || SERVICE.test(url.pathname)) return 'leave'
  if (request.mode === 'navigate') return isView(url.pathname) ? 'page' : 'leave'
  if (!shell.has(url.pathname)) return 'leave'
  return url.pathname.startsWith('/assets/') ? 'kept' : 'fresh'
}

/** As the broker sees it: an address without an extension is a view of the dashboard. */
const isView = (path: string): boolean => path === '/index.html' || !/\.\w+$/.test(path)
