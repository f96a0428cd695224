import fc from 'fast-check'
import { expect, it } from 'vitest'
import { Reach } from './reach.ts'

/** Not for reading: what devices of our own write with. */
const WRITERS = ['encodePack', 'finite', 'writeSenmlCbor', 'writeSenmlJson']
/** What no bytes can bring about, so many records that so few bytes cannot hold them, and what two texts of one hash do. */
const OUT_OF_REACH = [
  'if (!(error instanceof SenmlVersionError)) throw error;',
  'const why = (error instanceof Error ? error.message : String(error)).slice(0, 200);',
  'return null;',
  'for (let i = 0; i < text.length; i++) if (bytes[from + i] !== text.charCodeAt(i)) return false;',
]

/**
 * Made-up packs are of use only where they get behind the first check: these reach every line that reads one. A fixed seed, so that a
 * line that is missed is a line that was added.
 */
it('made-up packs reach all that reads a pack', async () => {
  const reach = new Reach('/firmware-protocol/')
  const { cborPack, jsonPack } = await import('./pack-inputs.ts')
  const { decodePack } = await import('../../firmware-protocol/pack.ts')
  for (const bytes of fc.sample(fc.oneof(jsonPack, cborPack, fc.uint8Array()), { numRuns: 6000, seed: 1 })) {
    try {
      decodePack(bytes)
    } catch {
      // What it may throw is looked at in `packs.test.ts`.
    }
  }
  reach.look()
  reach.close()
  expect(reach.missed(WRITERS)).toEqual(OUT_OF_REACH)
})
