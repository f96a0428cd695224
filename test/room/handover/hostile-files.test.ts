import fc from 'fast-check'
import { readFileSync } from 'node:fs'
import { gunzipSync, gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { HandoverError } from '../../../broker/room/handover/errors.ts'
import type { HandedOver } from '../../../broker/room/handover/format.ts'
import { Guests } from '../../../broker/room/handover/guests.ts'
import { read } from '../../../broker/room/handover/read.ts'
import { seeded, share } from '../../fuzz/inputs.ts'
import { openTestRoom } from '../opened.ts'
import { jpegOf } from '../books/pictures.ts'

const SEASON = new URL('../../../sim/demo/season.json.gz', import.meta.url)
const { batches } = JSON.parse(gunzipSync(readFileSync(SEASON)).toString()) as { batches: HandedOver[] }
const whole = batches[0]!
const packed = (file: unknown) => gzipSync(JSON.stringify(file), { level: 1 })

/** A file is brought in by its owner, but made by anybody: it must not be what stops the alarms. */
describe('a file of a batch that somebody made to do harm', () => {
  it('is refused before it is parsed where that would take half a minute and two gigabytes', async () => {
    const deep = gzipSync(Buffer.alloc(60 * 1024 * 1024, '['))
    await expect(read(deep)).rejects.toThrow('nested deeper than 32')
    const wide = gzipSync(`{"format":"brinewatch-batch","version":1,"events":[${'{},'.repeat(2_000_000)}{}]}`)
    await expect(read(wide)).rejects.toThrow('1000000 lists and objects')
    const named = gzipSync(`{${'"a":1,'.repeat(3_000_000)}"a":1}`)
    await expect(read(named)).rejects.toThrow('1000000 fields')
  })

  it.each([
    ['that unpacks to more than a phone holds', 'image/jpeg', jpegOf(40_000, 40_000)],
    ['that is another kind than it says', 'image/png', jpegOf(4, 4)],
    ['that is no picture', 'image/png', Buffer.from('<svg xmlns="http://www.w3.org/2000/svg" onload="x"/>')],
    ['that is cut off', 'image/jpeg', jpegOf(4, 4, 22)],
  ])('is refused for a photo %s', async (_, media, body) => {
    const with_ = (base64: string) => ({
      ...whole,
      photos: [{ id: 'p9', media, createdAtMs: whole.batch.startedAtMs, base64 }],
    })
    await expect(read(packed(with_(Buffer.from(body).toString('base64'))))).rejects.toMatchObject({
      field: 'photos.0',
    })
    const good = Buffer.from(jpegOf(640, 480)).toString('base64')
    expect(
      (await read(packed({ ...with_(good), photos: [{ ...with_(good).photos[0], media: 'image/jpeg' }] })))
        .photos,
    ).toHaveLength(1)
  })

  it('is refused or shown whatever single thing of it is odd, and never breaks anything', async () => {
    const opened = await openTestRoom(whole.batch.endedAtMs! + 1)
    const guests = new Guests({ store: opened.store, clock: () => opened.nowMs })
    const odd = fc.oneof(
      fc.constantFrom(
        null,
        '',
        0,
        -1,
        1e308,
        -1e308,
        5e-324,
        2 ** 53,
        [],
        {},
        true,
        '__proto__',
        '\u0000',
        '=1+1',
      ),
      fc.jsonValue({ maxDepth: 2 }),
    )
    let shown = 0
    try {
      await fc.assert(
        fc.asyncProperty(fc.array(fc.nat(), { minLength: 2, maxLength: 6 }), odd, async (way, value) => {
          const file = structuredClone(whole)
          put(file, way, value)
          let id: string
          try {
            id = (await guests.bring(packed(file), 'Bo')).guest.id
          } catch (error) {
            expect(error).toBeInstanceOf(HandoverError)
            return
          }
          const room = await guests.room(id)
          await room!.batch(id)
          await room!.batchEvents(id)
          shown++
          await guests.remove(id)
        }),
        { numRuns: Math.min(share(60), 3000), ...seeded },
      )
    } finally {
      await opened.close()
    }
    expect(shown).toBeGreaterThan(0)
  })
})

/** Puts a value at the end of a way through the parts of a document; numbers choose among the fields that there are. */
function put(document: object, [first = 0, ...rest]: readonly number[], value: unknown): void {
  const keys = Object.keys(document)
  const key = keys[first % keys.length]
  if (key === undefined) return
  const here = document as Record<string, unknown>
  const next = here[key]
  if (rest.length > 0 && typeof next === 'object' && next !== null && Object.keys(next).length > 0)
    put(next, rest, value)
  else here[key] = value
}
