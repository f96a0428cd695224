import { Hono, type Context } from 'hono'
import { html, raw } from 'hono/html'
import { RateLimiterMemory } from 'rate-limiter-flexible'
import type { Clock } from '../clock.ts'
import { ownUnitFirst } from '../hatch/own-unit-first.ts'
import type { Room } from '../room/contract.ts'
import { AlarmState, type Alarm } from '../rules/alarm.ts'
import { callLine } from '../rules/alarm-name.ts'
import { duration } from '../rules/words.ts'
import type { Calling, OpenedLink } from './calling.ts'
import type { WebEnv } from './context.ts'

/** How often one address may ask, per minute: a person needs two. */
const ASKS = 30
const ASKS_S = 60

/** Words that are older say so, ms; as in messages. */
const LATE_MS = 2 * 60_000

const STYLE = `:root { color-scheme: dark light; font: 100%/1.4 system-ui, 'Noto Sans', 'Liberation Sans', sans-serif; }
body { margin: 0; background: #0b1110; color: #f4efe4; }
main { max-width: 34rem; margin: 0 auto; padding: 24px 16px; display: grid; gap: 20px; }
h1, p { margin: 0; overflow-wrap: anywhere; }
h1 { font-size: 1.625rem; line-height: 1.2; }
p { font-size: 1.125rem; white-space: pre-line; }
button { font: inherit; font-size: 1.375rem; font-weight: 750; width: 100%; min-height: 96px; padding: 16px; border: 0;
  border-radius: 24px; background: #ffc93c; color: #1f1500; cursor: pointer; }
button:focus-visible, a:focus-visible { outline: 4px solid #f4efe4; outline-offset: 4px; }
nav { display: flex; flex-wrap: wrap; gap: 12px; }
a { color: inherit; font-size: 1.125rem; font-weight: 650; padding: 14px 20px; border: 2px solid #7d8a86; border-radius: 24px;
  text-decoration: none; }
@media (prefers-color-scheme: light) {
  body { background: #f3efe6; color: #17201e; }
  button { background: #b3122f; color: #ffffff; }
  button:focus-visible, a:focus-visible { outline-color: #17201e; }
}
`

/**
 * Where the link in a message leads: a plain page with one button, without sign-in, without script. Opening it changes
 * nothing, so whatever looks into links beforehand acknowledges nothing; only the button does.
 */
export function linkPages(calling: Calling, clock: Clock, room: Pick<Room, 'snapshot'>): Hono<WebEnv> {
  const asks = new RateLimiterMemory({ points: ASKS, duration: ASKS_S })
  const app = new Hono<WebEnv>()

  app.use('*', async function slowly(c, next) {
    const address = c.env?.incoming?.socket.remoteAddress ?? 'unknown'
    try {
      await asks.consume(address)
    } catch {
      c.header('Retry-After', String(ASKS_S))
      return c.html(page('Too often', html`<p>This was asked for too often. Try again in a minute.</p>`), 429)
    }
    await next()
    c.header('Cache-Control', 'no-store')
    c.header('X-Robots-Tag', 'noindex')
  })
  app.get('/style.css', c => c.body(STYLE, 200, { 'Content-Type': 'text/css; charset=utf-8' }))
  app.get('/:token', async c => {
    const opened = await calling.openLink(c.req.param('token'))
    if (opened === null) return noSuchLink(c)
    return c.html(linkPage({ ...opened, alarm: inOwnUnit(opened.alarm, room) }, clock()))
  })
  app.post('/:token', async c => {
    const token = c.req.param('token')
    if (!(await calling.answerLink(token))) return noSuchLink(c)
    // So that loading the page again does not send the answer again.
    return c.redirect(`/a/${token}`, 303)
  })
  return app
}

/** With the words as the house reads temperatures, like the message that the link came with. */
function inOwnUnit(alarm: Alarm | null, room: Pick<Room, 'snapshot'>): Alarm | null {
  if (alarm === null) return null
  const { temperatureUnit: unit } = room.snapshot().settings
  // A figure and its unit stay on one line.
  const own = (words: string) => ownUnitFirst(words, unit).replace(/ (?=°[CF])/g, '\u00a0')
  return { ...alarm, action: own(alarm.action), text: own(alarm.text) }
}

function noSuchLink(c: Context) {
  const words = html`<p>This link is not valid, or no longer. Open the dashboard to see what stands now.</p>
    ${ways(null, null)}`
  return c.html(page('No such link', words), 404)
}

function linkPage({ alarm, where, person }: OpenedLink, nowMs: number) {
  if (alarm === null || alarm.state === AlarmState.normal)
    return page(
      'Over',
      html`<p>It is back to normal. There is nothing to do.</p>
        ${alarm === null ? '' : html`<p>${whoAnswered(alarm, nowMs)}</p>`} ${ways(alarm, where)}`,
    )
  const quietPage = (heading: string, words: string) =>
    page(
      heading,
      html`<p>${words}</p>
        ${alarm.text === '' ? '' : html`<p>${told(alarm, nowMs)}</p>`}${ways(alarm, where)}`,
    )
  const title = callLine(alarm, where)
  switch (alarm.state) {
    case AlarmState.unacknowledged:
    case AlarmState.returnedUnacknowledged:
    case AlarmState.latched:
      break
    case AlarmState.acknowledged:
    case AlarmState.latchedAcknowledged:
      return page(
        'Answered',
        html`<p>${whoAnswered(alarm, nowMs)} Nobody else is called for it.</p>
          <p>${told(alarm, nowMs)}</p>
          ${ways(alarm, where)}`,
      )
    case AlarmState.shelved:
      return quietPage('Put off', 'It was put off on the dashboard, and calls again later if it still holds.')
    case AlarmState.outOfService:
      return quietPage('Out of service', 'It was taken out of service on the dashboard: it calls nobody.')
    default:
      return quietPage(
        'Silent',
        'It calls nobody now: somebody works on the vessel, or another alarm is its cause.',
      )
  }
  const over = alarm.state === AlarmState.returnedUnacknowledged ? 'It is back to normal. ' : ''
  return page(
    title,
    html`<p>${over}${told(alarm, nowMs)}</p>
      <form method="post">
        <button>Acknowledge</button>
      </form>
      <p>This says that ${person} was reached, and stops the calls.</p>
      ${ways(alarm, where)}`,
  )
}

/** An alarm keeps the words of its call: `in about 12 min` is read by whoever opens the link half an hour later, too. */
function told({ text, announcedAtMs, raisedAtMs, saidAtMs = -Infinity }: Alarm, nowMs: number): string {
  const agoMs = nowMs - Math.max(saidAtMs, announcedAtMs ?? raisedAtMs)
  return agoMs < LATE_MS ? text : `This is how it was ${duration(agoMs)} ago:\n${text}`
}

/** On to the dashboard: to the vessel, and to the room. */
function ways(alarm: Alarm | null, where: string | null) {
  const vesselId = where === null ? null : (alarm?.vesselId ?? null)
  return html`<nav>
    ${vesselId === null ? '' : html`<a href="/vessel/${encodeURIComponent(vesselId)}">Look at ${where}</a>`}
    <a href="/">Open the dashboard</a>
  </nav>`
}

/** Who said that they see to it, and how long ago: the clock on the reader's wall is not known here. */
function whoAnswered({ acknowledgedBy, acknowledgedAtMs }: Alarm, nowMs: number): string {
  if (acknowledgedAtMs === null) return 'Nobody had to answer.'
  return `${acknowledgedBy ?? 'Somebody'} answered ${duration(nowMs - acknowledgedAtMs)} ago.`
}

function page(title: string, content: ReturnType<typeof html>) {
  return html`${raw('<!doctype html>')}
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width" />
        <title>${title}</title>
        <link rel="icon" href="/icons/cone-192.png" />
        <link rel="stylesheet" href="/a/style.css" />
      </head>
      <body>
        <main>
          <h1>${title}</h1>
          ${content}
        </main>
      </body>
    </html>`
}
