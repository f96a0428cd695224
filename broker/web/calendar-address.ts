import { Hono } from 'hono'
import { RateLimiterMemory } from 'rate-limiter-flexible'
import type { Feeding } from '../room/feeding/contract.ts'
import type { WebEnv, WebOptions } from './context.ts'
import { planCalendar } from './plan-calendar.ts'

export const CALENDAR_TYPE = 'text/calendar; charset=utf-8'
/** How often one address may ask, per minute: calendars ask some times an hour. */
const ASKS = 30
const ASKS_S = 60

/**
 * The private address that calendars ask, without sign-in: whoever knows its key sees the plan and can change nothing. What is wrong is
 * answered here, so that no key reaches the log.
 */
export function calendarAddress(feeding: Feeding, { logger }: Pick<WebOptions, 'logger'>): Hono<WebEnv> {
  const asks = new RateLimiterMemory({ points: ASKS, duration: ASKS_S })
  return new Hono<WebEnv>().get('/:key/feeding-plan.ics', async c => {
    c.header('Cache-Control', 'no-store')
    c.header('X-Robots-Tag', 'noindex')
    try {
      await asks.consume(c.env?.incoming?.socket.remoteAddress ?? 'unknown')
    } catch {
      return c.text('This was asked for too often. Try again in a minute.', 429, {
        'Retry-After': String(ASKS_S),
      })
    }
    try {
      if (!(await feeding.knowsCalendarKey(c.req.param('key'))))
        return c.text('There is no such calendar. Make a new address on the page of the plan.', 404)
      return c.body(planCalendar(await feeding.plan()), 200, { 'Content-Type': CALENDAR_TYPE })
    } catch (error) {
      logger.error({ err: error }, 'answering a calendar failed')
      return c.text('The plan could not be made; its service has more in its log.', 500)
    }
  })
}
