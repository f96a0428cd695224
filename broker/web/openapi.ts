import type { OpenAPIHono } from '@hono/zod-openapi'
import type { WebEnv } from './context.ts'
import { SESSION_COOKIE } from './sign-in.ts'

/** The description of the API, from the schemas that also check it. */
export function describeApi(api: OpenAPIHono<WebEnv>) {
  api.openAPIRegistry.registerComponent('securitySchemes', 'session', {
    type: 'apiKey',
    in: 'cookie',
    name: SESSION_COOKIE,
  })
  api.openAPIRegistry.registerComponent('securitySchemes', 'token', { type: 'http', scheme: 'bearer' })
  return api.getOpenAPI31Document({
    openapi: '3.1.0',
    info: {
      title: 'brinewatch',
      version: '1',
      description:
        'Vessels, batches, alarms and devices of a hatch room. Units are in the names of fields; times are ISO 8601 UTC. ' +
        'Changes are pushed at /api/v1/live, a WebSocket. Errors are RFC 9457 problem details.',
      license: { name: 'MIT' },
    },
    servers: [{ url: '/' }],
    // Without sign-in neither is needed: hence the empty one.
    security: [{ session: [] }, { token: [] }, {}],
    tags: ['vessels', 'batches', 'alarms', 'devices', 'recipe', 'settings', 'session'].map(name => ({
      name,
    })),
  })
}
