import { z } from 'zod'
import { HandedOver } from '../../../broker/room/handover/format.ts'

export const SCHEMA_FILE = new URL('../../../broker/room/handover/batch.schema.json', import.meta.url)

/** The format as JSON Schema, as it is kept beside its description. */
export function schemaText(): string {
  return `${JSON.stringify({ title: 'brinewatch-batch', ...z.toJSONSchema(HandedOver, { io: 'input' }) }, null, 2)}\n`
}
