// Writes each text file of the dashboard once more as Brotli and as gzip: the service sends what the browser takes.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { extname, join } from 'node:path'
import { brotliCompressSync, gzipSync } from 'node:zlib'

const TEXT = new Set(['.js', '.css', '.html', '.svg', '.webmanifest', '.json'])
/** Smaller ones fit into one packet as they are, bytes. */
const WORTH_IT = 1000

export function compressIn(folder) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name)
    if (entry.isDirectory()) compressIn(path)
    if (!entry.isFile() || !TEXT.has(extname(entry.name))) continue
    const bytes = readFileSync(path)
    if (bytes.length < WORTH_IT) continue
    writeFileSync(`${path}.br`, brotliCompressSync(bytes))
    writeFileSync(`${path}.gz`, gzipSync(bytes, { level: 9 }))
  }
}
