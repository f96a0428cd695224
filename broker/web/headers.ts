import type { Context, MiddlewareHandler } from 'hono'
import { secureHeaders } from 'hono/secure-headers'

/**
 * The live feed's address at the host that was asked for: not every browser counts it as 'self', and any other host is none
 * of the page's business. An IPv6 address cannot be named in a policy (CSP 3, section 2.3.1): there 'self' has to do.
 */
const liveFeedOf = (scheme: string) => (c: Context) => {
  const host = c.req.header('host') ?? new URL(c.req.url).host
  return /^[a-z0-9.-]+(:\d+)?$/i.test(host) ? `${scheme}://${host}` : "'self'"
}

/**
 * Headers of every answer. Scripts and styles come from our own files only, nothing inline, so a name that somebody
 * typed can never run as code.
 */
export const protectiveHeaders: MiddlewareHandler = secureHeaders({
  contentSecurityPolicy: {
    defaultSrc: ["'none'"],
    scriptSrc: ["'self'"],
    styleSrc: ["'self'"],
    imgSrc: ["'self'", 'data:'],
    fontSrc: ["'self'"],
    mediaSrc: ["'self'"],
    manifestSrc: ["'self'"],
    workerSrc: ["'self'"],
    connectSrc: ["'self'", liveFeedOf('ws'), liveFeedOf('wss')],
    baseUri: ["'none'"],
    formAction: ["'self'"],
    frameAncestors: ["'none'"],
  },
  referrerPolicy: 'no-referrer',
  xFrameOptions: 'DENY',
  // With a certificate of one's own making it would turn each warning into a wall; whoever puts TLS before the service decides.
  strictTransportSecurity: false,
})
