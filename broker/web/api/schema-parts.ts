import { z } from '@hono/zod-openapi'

/** Of a vessel. */
export const SilentAfterS = z
  .object({ water: z.number(), air: z.number(), light: z.number(), level: z.number() })
  .partial()
  .openapi({
    description:
      'How long each may be silent by its own pace, where that is more than a minute: it is not called before.',
  })

/** Of an alarm. `Time`: as the schemas have it. */
export const acknowledgedBefore = <Time extends z.ZodType>(Time: Time) =>
  z.object({ at: Time, by: z.string().nullable() }).openapi({
    description:
      'The last acknowledgement before it called anew, of this alarm or of the same one that was over meanwhile.',
  })
