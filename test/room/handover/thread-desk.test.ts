import { readFileSync } from 'node:fs'
import { gunzipSync, gzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { Refusal } from '../../../broker/room/handover/errors.ts'
import type { HandedOver } from '../../../broker/room/handover/format.ts'
import { gather } from '../../../broker/room/handover/gather.ts'
import { LocalDesk } from '../../../broker/room/handover/local-desk.ts'
import { takeIn } from '../../../broker/room/handover/take-in.ts'
import { ThreadDesk } from '../../../broker/room/handover/thread-desk.ts'
import { HOUR, openTestRoom, type Opened } from '../opened.ts'

const SEASON = new URL('../../../sim/demo/season.json.gz', import.meta.url)
const { batches } = JSON.parse(gunzipSync(readFileSync(SEASON)).toString()) as { batches: HandedOver[] }
const whole = batches[0]!
const packed = gzipSync(JSON.stringify(whole))

/** How long the loop is held by it is measured in `bench --only file`. */
describe('the thread that reads, looks into and writes files of batches', () => {
  const thread = new ThreadDesk()
  const here = new LocalDesk()
  let opened: Opened
  beforeAll(async () => {
    opened = await openTestRoom(whole.batch.endedAtMs! + HOUR)
  })
  afterAll(async () => {
    await thread.close()
    await here.close()
    await opened.close()
  })

  it('keeps, opens and foresees what the same work on this thread does', async () => {
    const kept = await thread.toKeep(packed, false)
    expect(kept).toEqual(await here.toKeep(packed, false))
    const document = new TextDecoder().decode(kept.document)
    const look = { key: 'one', what: 'forecast', args: [whole.batch.id], document } as const
    const looked = await thread.look(look)
    expect(looked).toMatchObject({
      isOpen: true,
      answer: { waterMeasured: true, t90: { p50: expect.any(Number) } },
    })
    expect(looked).toEqual(await here.look(look))
    const closed = { key: 'another', what: 'forecast', args: [whole.batch.id], document: null } as const
    expect(await thread.look(closed)).toEqual({ isOpen: false })
  })

  it('takes a batch into the books, and writes it out again with the same readings', async () => {
    await takeIn(opened.store, opened.room, await thread.unpack(packed))
    const gathered = () => gather(opened.store, whole.batch.id, { nowMs: opened.nowMs, program: 'a test' })
    const [out, same] = [await thread.write(await gathered()), await here.write(await gathered())]
    expect(out.name).toBe(same.name)
    const again = JSON.parse(gunzipSync(out.bytes).toString()) as HandedOver
    expect(again).toEqual(JSON.parse(gunzipSync(same.bytes).toString()))
    const values = (file: HandedOver) => file.channels.map(({ role, readings }) => [role, readings])
    expect(values(again)).toEqual(values(whole))
  })

  it('says what is wrong with a file, and where, in the words that it has here', async () => {
    const wrong = gzipSync(JSON.stringify({ ...whole, batch: { ...whole.batch, litres: 'two' } }))
    const told = (desk: LocalDesk | ThreadDesk) =>
      desk.toKeep(wrong, false).then(
        () => null,
        (error: unknown) => error,
      )
    const error = await told(thread)
    expect(error).toMatchObject({ name: 'HandoverError', refusal: Refusal.malformed, field: 'batch.litres' })
    expect(error).toEqual(await told(here))
  })

  it('refuses a fifth file while four are under way, and takes it afterwards', async () => {
    const four = Array.from({ length: 4 }, () => thread.unpack(packed))
    await expect(thread.unpack(packed)).rejects.toMatchObject({ refusal: Refusal.busy })
    await Promise.all(four)
    expect((await thread.unpack(packed)).batch.id).toBe(whole.batch.id)
  })
})
