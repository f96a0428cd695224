import { z } from '@hono/zod-openapi'
import { Id, Time } from './schemas.ts'

/** The books as tables: written out, and brought in again. */

const Value = z.union([z.string(), z.number(), z.boolean(), z.null()])
export const ImportReport = z
  .object({
    tables: z.array(z.object({ table: z.string(), added: z.int(), same: z.int(), refused: z.int() })),
    refusals: z
      .array(z.object({ table: z.string(), row: z.int(), why: z.string() }))
      .openapi({ description: 'The first 200. Refused rows are kept aside as they came, the newest 1,000.' }),
  })
  .openapi('ImportReport')
export const SetAsideList = z
  .object({
    rows: z.array(
      z.object({
        id: Id,
        at: Time,
        table: z.string(),
        row: z.int(),
        why: z.string(),
        cells: z.record(z.string(), Value),
      }),
    ),
  })
  .openapi('SetAsideList')
export const TableList = z
  .object({
    tables: z.array(z.object({ name: z.string(), about: z.string(), headings: z.array(z.string()) })),
  })
  .openapi('TableList')
export const TableByName = z.object({
  table: z
    .string()
    .max(40)
    .openapi({ param: { name: 'table', in: 'path' }, example: 'batches' }),
})

export type ImportReport = z.infer<typeof ImportReport>
export type TableList = z.infer<typeof TableList>
