import type { MiddlewareHandler } from 'hono'
import { secureHeaders } from 'hono/secure-headers'

/**
 * Headers of every answer. Scripts and styles come from our own files only, nothing inline, so a name that somebody
 * typed can never run as code. `ws:` is named because not every browser counts the live feed as 'self'.
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
    connectSrc: ["'self'", 'ws:'],
    baseUri: ["'none'"],
    formAction: ["'self'"],
    frameAncestors: ["'none'"],
  },
  referrerPolicy: 'no-referrer',
  xFrameOptions: 'DENY',
  // The service speaks plain HTTP; whoever puts TLS before it decides on this one.
  strictTransportSecurity: false,
})
