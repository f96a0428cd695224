import type { MiddlewareHandler } from 'hono'
import { secureHeaders } from 'hono/secure-headers'

/**
 * Headers of every answer. Scripts and styles come from our own files only, nothing inline, so a name that somebody
 * typed can never run as code. `ws:` and `wss:` are named because not every browser counts the live feed as 'self'.
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
    connectSrc: ["'self'", 'ws:', 'wss:'],
    baseUri: ["'none'"],
    formAction: ["'self'"],
    frameAncestors: ["'none'"],
  },
  referrerPolicy: 'no-referrer',
  xFrameOptions: 'DENY',
  // With a certificate of one's own making it would turn each warning into a wall; whoever puts TLS before the service decides.
  strictTransportSecurity: false,
})
