import { writeFileSync } from 'node:fs'
import { SCHEMA_FILE, schemaText } from './schema.ts'

/** Writes the JSON Schema of a batch's file anew; the formatter then has its say. */
writeFileSync(SCHEMA_FILE, schemaText())
