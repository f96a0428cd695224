// Writes the documents of the device protocol, which are made from its schemas and kept beside them: npm run protocol.
import { mkdirSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { format } from 'prettier'
import { protocolDocuments } from '../../firmware-protocol/documents.ts'

const dir = fileURLToPath(new URL('../../firmware-protocol/contract', import.meta.url))
mkdirSync(dir, { recursive: true })
for (const [name, document] of Object.entries(protocolDocuments()))
  writeFileSync(`${dir}/${name}`, await format(JSON.stringify(document), { parser: 'json', printWidth: 110 }))
