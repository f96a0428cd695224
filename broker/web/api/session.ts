import { z } from '@hono/zod-openapi'

/** Who is asking, of those who may. */
export const Session = z
  .object({
    signInNeeded: z
      .boolean()
      .openapi({ description: 'False where the service is reachable from this machine alone.' }),
    name: z.string().nullable().openapi({ description: "A bearer token's name; null for a person." }),
  })
  .openapi('Session')

export const SignIn = z.object({ password: z.string().min(1).max(256) }).openapi('SignIn')

export type Session = z.infer<typeof Session>
