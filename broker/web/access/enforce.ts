import type { Context, MiddlewareHandler } from 'hono'
import { keepAct } from '../../audit.ts'
import { mayAct, SignInRole } from '../../roles.ts'
import type { Identity, WebEnv, WebOptions } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import { rulesOf, type RuleFor } from './rule-for.ts'
import { ACCESS, ANYONE, type Rule } from './table.ts'

type Parts = Pick<WebOptions, 'store' | 'clock' | 'logger'>

const FOR_WHOM = {
  [SignInRole.owner]: 'the owner',
  [SignInRole.helper]: 'helpers and the owner',
  [SignInRole.viewer]: 'whoever has signed in',
} as const

/** What to say to somebody whose role is too small. */
export function tooSmall(identity: Identity, least: SignInRole): HttpProblem {
  const who = identity.name ?? 'This sign-in'
  return new HttpProblem(
    403,
    `Cannot do this: ${who} is signed in as ${identity.role}, and it is for ${FOR_WHOM[least]}`,
  )
}

/** Who may do what, in one place: every request to the service comes through here, and goes no further without a rule. */
export function enforceAccess(
  parts: Parts,
  is: { service(path: string): boolean; missing(method: string, path: string): HttpProblem },
  ruleFor: RuleFor = rulesOf(ACCESS),
): MiddlewareHandler<WebEnv> {
  return async function enforce(c, next) {
    const { method, path } = c.req
    if (!is.service(path)) return next()
    const identity = c.get('identity')
    const rule = ruleFor(method, path)
    if (identity === null && rule?.least !== ANYONE) throw notSignedIn(c)
    if (rule === undefined) throw is.missing(method, path)
    if (rule.least !== ANYONE && identity !== null && !mayAct(identity.role, rule.least)) {
      await writeDown(parts, c, rule, true)
      throw tooSmall(identity, rule.least)
    }
    await next()
    if (rule.audit !== undefined && c.res.ok) await writeDown(parts, c, rule, false)
  }
}

function notSignedIn(c: Context<WebEnv>): HttpProblem {
  const why = c.req.header('authorization') ? 'this token is not known' : 'sign in first'
  return new HttpProblem(401, `Cannot serve ${c.req.path}: ${why}`, {
    headers: { 'WWW-Authenticate': 'Bearer' },
  })
}

async function writeDown(parts: Parts, c: Context<WebEnv>, rule: Rule, failed: boolean): Promise<void> {
  const what = `${c.req.method} ${c.req.path.replace('/api/v1', '')}`
  const act = failed ? 'was refused for the role' : (rule.audit ?? what)
  await record(parts, c, { act, subject: c.get('subject') ?? what, failed })
}

export const addressOf = (c: Context<WebEnv>): string => c.env?.incoming?.socket.remoteAddress ?? 'unknown'

/** A line of the audit log. A log that cannot be written does not keep people from their vessels: the service's log has the line. */
export async function record(
  { store, clock, logger }: Parts,
  c: Context<WebEnv>,
  what: {
    readonly act: string
    readonly subject?: string
    readonly failed?: boolean
    readonly as?: Identity
  },
): Promise<void> {
  const { as, ...act } = what
  const identity = as ?? c.get('identity')
  const who = identity === null ? 'nobody signed in' : (identity.name ?? 'owner')
  const line = { ...act, who, role: identity?.role ?? null, address: addressOf(c) }
  try {
    await keepAct(store, line, clock())
  } catch (error) {
    logger.error({ err: error, ...line }, 'a line of the audit log could not be kept')
  }
}
