import { createRoute, OpenAPIHono, z } from '@hono/zod-openapi'
import {
  addPerson,
  changeRole,
  newLink,
  people,
  PeopleError,
  removePerson,
  type NewLink,
  type Person,
} from '../../people.ts'
import { SignInRole } from '../../roles.ts'
import { newSecret as randomSecret } from '../../secrets.ts'
import { ChangeRole, NewPersonIn, PeopleIn, PersonIn, PersonLink, SessionList } from '../api/session.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import type { SignIn } from '../sign-in.ts'
import { iso, isoOrNull } from '../times.ts'
import { body, json, problems } from './describe.ts'

const tags = ['people']
const ById = z.object({
  id: z
    .string()
    .min(1)
    .max(100)
    .openapi({ param: { name: 'id', in: 'path' } }),
})
const list = createRoute({
  method: 'get',
  path: '/people',
  tags,
  summary: 'Who may sign in besides the owner',
  responses: { 200: json(PeopleIn, 'The people.'), ...problems() },
})
const add = createRoute({
  method: 'post',
  path: '/people',
  tags,
  summary: 'Let somebody in, by a link that is good once and for three days',
  request: { body: body(NewPersonIn) },
  responses: { 201: json(PersonLink, 'The link, shown this once.'), ...problems(409, 413, 415, 422) },
})
const again = createRoute({
  method: 'post',
  path: '/people/{id}/link',
  tags,
  summary: 'A new link for somebody; whoever uses it ends their sessions from before',
  request: { params: ById },
  responses: { 201: json(PersonLink, 'The link, shown this once.'), ...problems(404, 422) },
})
const role = createRoute({
  method: 'put',
  path: '/people/{id}/role',
  tags,
  summary: 'Change what somebody may do; it holds at once',
  request: { params: ById, body: body(ChangeRole) },
  responses: { 200: json(PersonIn, 'The person.'), ...problems(404, 413, 415, 422) },
})
const remove = createRoute({
  method: 'delete',
  path: '/people/{id}',
  tags,
  summary: 'Let somebody in no more; their sessions end at once',
  request: { params: ById },
  responses: { 204: { description: 'They are out.' }, ...problems(404, 422) },
})
const sessions = createRoute({
  method: 'get',
  path: '/sessions',
  tags,
  summary: 'Who is signed in, on what, since when',
  responses: { 200: json(SessionList, 'The sessions that run, the newest first.'), ...problems() },
})
const endOne = createRoute({
  method: 'delete',
  path: '/sessions/{id}',
  tags,
  summary: 'End a session, as of a phone that was lost',
  request: { params: ById },
  responses: { 204: { description: 'It is over.' }, ...problems(404, 422) },
})

/** Of the hash of a session's secret: enough to tell sessions apart. */
const sessionId = (hash: string): string => hash.replace(/^sha256:/, '').slice(0, 16)

export function peopleRoutes(
  { store, clock, newSecret = randomSecret }: WebOptions,
  signIn: SignIn,
  onEnd: (session: string) => void,
): OpenAPIHono<WebEnv> {
  async function endSessionsOf(id: string): Promise<void> {
    for (const { hash, person } of await store.sessions()) {
      if (person !== id) continue
      await store.dropSession(hash)
      onEnd(hash)
    }
  }

  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => c.json({ people: (await people(store)).map(shown) }, 200))
    .openapi(add, async c => {
      const wanted = c.req.valid('json')
      const made = await asked(() => addPerson(store, wanted, clock(), newSecret))
      c.set('subject', `${made.person.name}, ${made.person.role}`)
      return c.json(linkShown(made), 201)
    })
    .openapi(again, async c => {
      const made = await asked(() => newLink(store, c.req.valid('param').id, clock(), newSecret))
      c.set('subject', made.person.name)
      return c.json(linkShown(made), 201)
    })
    .openapi(role, async c => {
      const { id } = c.req.valid('param')
      const changed = await asked(() => changeRole(store, id, c.req.valid('json').role, clock()))
      c.set('subject', `${changed.name}, ${changed.role}`)
      return c.json(shown(changed), 200)
    })
    .openapi(remove, async c => {
      const { id } = c.req.valid('param')
      const gone = await asked(() => removePerson(store, id))
      c.set('subject', gone.name)
      await endSessionsOf(id)
      return c.body(null, 204)
    })
    .openapi(sessions, async c => {
      const own = c.get('identity')?.session
      const rows = (await signIn.running()).map(({ row, person }) => ({
        id: sessionId(row.hash),
        name: person?.name ?? null,
        role: person?.role ?? SignInRole.owner,
        openedAt: iso(row.createdAtMs),
        expiresAt: iso(row.expiresAtMs),
        address: row.address,
        agent: row.agent,
        own: row.hash === own,
      }))
      return c.json({ sessions: rows }, 200)
    })
    .openapi(endOne, async c => {
      const { id } = c.req.valid('param')
      const found = (await signIn.running()).find(({ row }) => sessionId(row.hash) === id)
      if (!found) throw new HttpProblem(404, 'Cannot end session: none that runs has this id')
      await signIn.end(found.row.hash)
      onEnd(found.row.hash)
      c.set('subject', `of ${found.person?.name ?? 'the owner'}`)
      return c.body(null, 204)
    })
}

const STATUS = { invalid: 422, 'not-found': 404, conflict: 409 } as const

async function asked<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work()
  } catch (error) {
    if (!(error instanceof PeopleError)) throw error
    const { kind, message, field } = error
    throw new HttpProblem(STATUS[kind], message, { errors: field === null ? [] : [{ field, message }] })
  }
}

function shown({ id, name, role, createdAtMs, hasPassword, linkUntilMs }: Person): PersonIn {
  return { id, name, role, createdAt: iso(createdAtMs), hasPassword, linkUntil: isoOrNull(linkUntilMs) }
}

/** The secret stands behind a `#`: browsers send that to nobody, so it is in no log and in no `Referer`. */
function linkShown({ person, secret, untilMs }: NewLink): PersonLink {
  return { person: shown(person), path: `/join#${secret}`, expiresAt: iso(untilMs) }
}
