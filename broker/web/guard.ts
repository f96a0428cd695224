import { HttpProblem } from './problem.ts'

/** The parts of a request that tell where it came from. */
export interface Arrival {
  readonly method: string
  readonly host: string | undefined
  readonly origin: string | undefined
  /** `Sec-Fetch-Site`, which browsers set and scripts cannot. */
  readonly fetchSite: string | undefined
  /** Opening a WebSocket is a GET that the same-origin rule of browsers does not cover. */
  readonly webSocket: boolean
}

export type Guard = (arrival: Arrival) => HttpProblem | null

const LOOPBACK_NAMES: ReadonlySet<string> = new Set(['127.0.0.1', 'localhost', '[::1]'])
const SAFE_METHODS: ReadonlySet<string> = new Set(['GET', 'HEAD', 'OPTIONS'])

/**
 * Keeps web pages of other origins from acting through a person's browser. Two attacks are met: a foreign page that posts
 * to us or opens our sockets (told by `Origin`), and a foreign name that was pointed at this machine, so that the page
 * counts as ours (DNS rebinding, told by `Host`; with sign-in the session's cookie does not go to the foreign name).
 */
export function createGuard(options: { loopbackOnly: boolean; allowedOrigins: readonly string[] }): Guard {
  const allowed = new Set(options.allowedOrigins.map(text => new URL(text).origin))
  const allowedHosts = new Set([...allowed].map(text => new URL(text).host))

  function foreignOrigin(origin: string, host: string): boolean {
    if (allowed.has(origin)) return false
    const url = parse(origin)
    // The scheme is not compared: behind a proxy that adds TLS the page is https and we are http.
    return !url || !/^https?:$/.test(url.protocol) || parse(`${url.protocol}//${host}`)?.host !== url.host
  }

  return function guard({ method, host, origin, fetchSite, webSocket }) {
    const named = host === undefined ? undefined : parse(`http://${host}`)
    if (host === undefined || !named || named.pathname !== '/' || named.username !== '') {
      return new HttpProblem(400, 'Cannot serve request: its Host header is missing or malformed')
    }
    if (options.loopbackOnly && !LOOPBACK_NAMES.has(named.hostname) && !allowedHosts.has(named.host)) {
      return new HttpProblem(
        403,
        'Cannot serve request: this service answers to 127.0.0.1, localhost and [::1] only, unless it was started for the network',
      )
    }
    if (SAFE_METHODS.has(method) && !webSocket) return null
    if (origin !== undefined && foreignOrigin(origin, host)) {
      return new HttpProblem(403, 'Cannot serve request: it comes from a page of another origin')
    }
    if (
      origin === undefined &&
      fetchSite !== undefined &&
      fetchSite !== 'same-origin' &&
      fetchSite !== 'none'
    ) {
      return new HttpProblem(403, 'Cannot serve request: it comes from a page of another origin')
    }
    return null
  }
}

function parse(text: string): URL | undefined {
  return URL.canParse(text) ? new URL(text) : undefined
}
