import { z } from '@hono/zod-openapi'
import { Time } from './schemas.ts'

const HeartbeatSettings = z
  .object({
    url: z.string().trim().min(1).max(2000).openapi({
      description: 'The address of a watcher outside, which calls the person when it is not called in time.',
      example: 'https://watcher.example/beat/cellar',
    }),
    method: z.enum(['GET', 'POST']).default('GET').openapi({
      description: 'POST sends JSON along: `status`, `ailments`, `everyMinutes` and `at`.',
    }),
    everyMinutes: z.int().min(1).max(1440).default(5),
    tellTrouble: z.boolean().default(false).openapi({
      description:
        'While the service is not well, the address with `/fail` behind its path is called, rather than none.',
    }),
  })
  .openapi('HeartbeatSettings')

export const Heartbeat = z
  .object({
    settings: HeartbeatSettings.nullable().openapi({ description: 'null: nobody outside is told.' }),
    lastBeatAt: Time.nullable().openapi({
      description: 'When the watcher last took a beat; null when none since the start.',
    }),
    ailments: z.array(z.string()).openapi({
      description: 'What keeps the service from beating, as last looked; empty when all is well.',
    }),
    missed: z.string().nullable().openapi({
      description: 'Why the last call did not get through; null when it did.',
    }),
    failing: z.boolean().openapi({
      description: 'It did not get through for so long that it is an alarm.',
    }),
  })
  .openapi('Heartbeat')
export type Heartbeat = z.infer<typeof Heartbeat>

export const ChangeHeartbeat = z.object({ settings: HeartbeatSettings.nullable() }).openapi('ChangeHeartbeat')
export type ChangeHeartbeat = z.infer<typeof ChangeHeartbeat>
