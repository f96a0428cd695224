import { describe, expect, it } from 'vitest'
import { PHOTO_BYTES } from '../../broker/room/books/photos.ts'
import {
  CleaningList,
  FinishedWalk,
  HeldList,
  HeldPortion,
  LotDetail,
  LotOnShelf,
  LotShelf,
  Preset,
  Usual,
  Walk,
  WalkList,
} from '../../broker/web/api/books.ts'
import { BatchEvent } from '../../broker/web/api/events.ts'
import { NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'
import { LiveReader } from './live-client.ts'

const API = '/api/v1'

describe('lots on the shelf', () => {
  it('are listed, with a record for every lot that a batch names, and are put right', async () => {
    const { ask } = bench()
    const { lots } = await answer(await ask('GET', `${API}/shelf`), 200, LotShelf)
    expect(lots).toMatchObject([{ name: 'A', gramsLeft: null, drawnG: 2, learned: { verdict: 'learning' } }])
    const path = `${API}/shelf/${lots[0]!.id}`
    const change = { gramsBought: 50, openedOn: '2026-11-01', keptIn: 'refrigerator' }
    const lot = await answer(await ask('PATCH', path, change), 200, LotOnShelf)
    expect(lot).toMatchObject({ gramsLeft: 48, useBy: { until: '2026-11-29T00:00:00.000Z', why: 'opened' } })
    expect((await ask('POST', `${path}/weighings`, { gramsLeft: 30 })).status).toBe(201)
    const detail = await answer(await ask('GET', path), 200, LotDetail)
    expect(detail).toMatchObject({
      gramsLeft: 30,
      quality: 'learning',
      charts: { naupliiPerG: { limits: null } },
    })
    expect(detail.advice).toMatch(/\w/)
  })

  it('refuse what cannot be, field by field', async () => {
    const { ask } = bench()
    expect((await refusal(await ask('POST', `${API}/shelf`, { name: ' ' }), 422)).fields).toEqual(['name'])
    const odd = { name: 'B', openedOn: '2026-02-30', keptIn: 'cupboard', gramsBought: -1 }
    const { fields } = await refusal(await ask('POST', `${API}/shelf`, odd), 422)
    expect(fields.sort()).toEqual(['gramsBought', 'keptIn', 'openedOn'])
    expect((await ask('POST', `${API}/shelf`, { name: 'A' })).status).toBe(409)
    await refusal(await ask('GET', `${API}/shelf/none`), 404)
  })
})

describe('the usual batch and own recipes', () => {
  it('is found before a batch of that id, and is the vessel’s own recipe once it has one', async () => {
    const { ask } = bench()
    const path = `${API}/batches/usual?vesselId=v1`
    expect(await answer(await ask('GET', path), 200, Usual)).toMatchObject({ from: 'last-here', cystsG: 2 })
    const own = { name: 'Big', vesselId: 'v1', litres: 1.5, cystsG: 3, salinityGpl: 30 }
    const preset = await answer(await ask('POST', `${API}/presets`, own), 201, Preset)
    expect(await answer(await ask('GET', path), 200, Usual)).toMatchObject({ from: 'preset', cystsG: 3 })
    expect((await ask('DELETE', `${API}/presets/${preset.id}`)).status).toBe(204)
    expect(await answer(await ask('GET', path), 200, Usual)).toMatchObject({ from: 'last-here' })
    await refusal(await ask('GET', `${API}/batches/usual?vesselId=none`), 404)
  })
})

describe('walks', () => {
  it('are begun, ticked, drafted and finished', async () => {
    const { ask } = bench()
    const begin = { kind: 'harvest', vesselId: 'v1', draft: { sampleMl: '1' } }
    const { id } = await answer(await ask('POST', `${API}/walks`, begin), 201, Walk)
    const path = `${API}/walks/${id}`
    const walk = await answer(await ask('POST', `${path}/steps`, { step: 'air-off', done: true }), 200, Walk)
    expect(walk.steps).toEqual([{ step: 'air-off', at: '2026-11-25T06:40:00.000Z' }])
    expect(walk.settlesAt).toBe('2026-11-25T06:50:00.000Z')
    await answer(await ask('PUT', `${path}/draft`, { draft: { sampleMl: '2' } }), 200, Walk)
    const { walks } = await answer(await ask('GET', `${API}/walks`), 200, WalkList)
    expect(walks).toMatchObject([{ id, draft: { sampleMl: '2' } }])
    const done = await answer(await ask('POST', `${path}/finish`, {}), 200, FinishedWalk)
    expect(done.batchId).toBe('b1')
    await refusal(await ask('GET', path), 404)
  })
})

describe('walks on two screens', () => {
  it('are told on the live feed: as they are by now, and their end', async () => {
    const { web, ask } = bench()
    const { port } = await web.listen('127.0.0.1', 0)
    const reader = new LiveReader(`ws://127.0.0.1:${port}/api/v1/live`)
    try {
      await reader.snapshot()
      const begin = { kind: 'harvest', vesselId: 'v1', draft: { sampleMl: '1', note: '' } }
      const { id } = await answer(await ask('POST', `${API}/walks`, begin), 201, Walk)
      const fields = { draft: { note: 'foam' } }
      const walk = await answer(await ask('PATCH', `${API}/walks/${id}/draft`, fields), 200, Walk)
      expect(walk).toMatchObject({ draft: { sampleMl: '1', note: 'foam' }, changes: 1 })
      // Of what is gathered in a moment the newest is told.
      await reader.until(() => reader.changes().some(({ kind }) => kind === 'walk'))
      await reader.until(() => reader.changes().some(each => each.kind === 'walk' && each.walk.changes === 1))
      expect(reader.changes().at(-1)).toEqual({ kind: 'walk', walk })
      await ask('POST', `${API}/walks/${id}/abandon`)
      await reader.until(() => reader.changes().some(({ kind }) => kind === 'walk-over'))
      expect(reader.changes().at(-1)).toEqual({
        ...{ kind: 'walk-over', walkId: id, vesselId: 'v1', batchId: null },
      })
    } finally {
      reader.socket.terminate()
      await web.close()
    }
  })
})

describe('held nauplii and cleaning', () => {
  it('come from what was taken, are drawn, and are taken back', async () => {
    const { ask } = bench()
    const taken = { kind: 'taken', for: 'held', nauplii: 100_000, coldC: 4, by: 'Ann' }
    const event = await answer(await ask('POST', `${API}/batches/b1/events`, taken), 201, BatchEvent)
    const draw = { for: 'fed', nauplii: 25_000 }
    const drawn = await answer(await ask('POST', `${API}/held/${event.id}/draws`, draw), 201, HeldPortion)
    expect(drawn).toMatchObject({ left: 75_000, until: '2026-11-27T06:40:00.000Z', isOver: false })
    await ask('POST', `${API}/held/${event.id}/draws/${drawn.draws[0]!.id}/withdraw`)
    const { held } = await answer(await ask('GET', `${API}/held`), 200, HeldList)
    expect(held).toMatchObject([{ id: event.id, left: 100_000 }])
    const warm = { ...taken, coldC: 21 }
    expect((await refusal(await ask('POST', `${API}/batches/b1/events`, warm), 422)).fields).toEqual([
      'coldC',
    ])
  })

  it('writes cleaning down, vessel by vessel', async () => {
    const { ask } = bench()
    const write = (said: object) =>
      ask('POST', `${API}/vessels/v1/cleanings`, { how: 'disinfected', ...said })
    const { detail } = await refusal(await write({}), 409)
    expect(detail).toMatch(/^Cannot write the cleaning down: a batch is in .* end it first/)
    // Before the batch that is in it was started.
    const at = new Date(NOW_MS - 11 * 3_600_000).toISOString()
    expect((await write({ at })).status).toBe(201)
    const { vessels, policy } = await answer(await ask('GET', `${API}/cleaning`), 200, CleaningList)
    expect(vessels).toMatchObject([{ vesselId: 'v1', disinfect: null, log: [{ how: 'disinfected' }] }])
    expect(policy).toEqual({ everyBatches: 10, everyDays: 30 })
  })
})

describe('photos', () => {
  const send = (ask: ReturnType<typeof bench>['ask'], body: Uint8Array, type: string) =>
    ask('POST', `${API}/batches/b1/photos?words=ring`, undefined, {
      body: body as Uint8Array<ArrayBuffer>,
      headers: { 'content-type': type, 'content-length': String(body.length) },
    })
  const pngOf = (width: number, height: number) => {
    const head = Buffer.from('89504e470d0a1a0a0000000d49484452', 'hex')
    const size = Buffer.alloc(8)
    size.writeUInt32BE(width, 0)
    size.writeUInt32BE(height, 4)
    return new Uint8Array(Buffer.concat([head, size, Buffer.from('0806000000', 'hex')]))
  }
  const png = pngOf(640, 480)

  it('are served as what they are, and can do nothing', async () => {
    const { ask } = bench()
    const event = await answer(await send(ask, png, 'image/png'), 201, BatchEvent)
    if (event.kind !== 'photo') throw new Error('not a photo')
    const response = await ask('GET', `${API}/photos/${event.photoId}`)
    expect(new Uint8Array(await response.arrayBuffer())).toEqual(png)
    expect(response.headers.get('content-type')).toBe('image/png')
    expect(response.headers.get('x-content-type-options')).toBe('nosniff')
    expect(response.headers.get('content-security-policy')).toBe("default-src 'none'; sandbox")
    expect(response.headers.get('content-disposition')).toMatch(/^inline/)
    await refusal(await ask('GET', `${API}/photos/none`), 404)
  })

  it('are refused when they are no pictures, called something else, or too large', async () => {
    const { ask } = bench()
    const page = new TextEncoder().encode('<script>alert(1)</script>')
    await refusal(await send(ask, page, 'image/png'), 422)
    await refusal(await send(ask, new TextEncoder().encode('<svg xmlns="x" onload="y"/>'), 'image/png'), 422)
    await refusal(await send(ask, png, 'image/svg+xml'), 415)
    await refusal(await send(ask, pngOf(60_000, 60_000), 'image/png'), 422)
    await refusal(await send(ask, png, 'text/html'), 415)
    await refusal(await send(ask, new Uint8Array(PHOTO_BYTES + 1), 'image/jpeg'), 413)
  })
})

describe('writing out and bringing in', () => {
  it('sends files, and reports what became of rows', async () => {
    const { ask } = bench()
    const csv = await ask('GET', `${API}/export/batches`)
    expect(csv.headers.get('content-type')).toMatch(/^text\/csv/)
    expect(csv.headers.get('content-disposition')).toBe('attachment; filename="batches.csv"')
    const init = { body: await csv.text(), headers: { 'content-type': 'text/csv' } }
    const response = await ask('POST', `${API}/import/batches`, undefined, init)
    expect(await response.json()).toEqual({
      tables: [{ table: 'batches', added: 0, same: 1, refused: 0 }],
      refusals: [],
    })
    const whole = await ask('GET', `${API}/export`)
    expect((await ask('POST', `${API}/import`, await whole.json())).status).toBe(200)
    await refusal(await ask('POST', `${API}/import/batches`, undefined, { body: 'x' }), 415)
    await refusal(await ask('GET', `${API}/export/nothing`), 422)
  })

  it('refuses a document before it is parsed that takes more than this machine has to parse', async () => {
    const { ask } = bench()
    const json = { headers: { 'content-type': 'application/json' } }
    for (const body of [`{"x":${'['.repeat(1_000_000)}`, `{"tables":[${'{},'.repeat(1_100_000)}{}]}`]) {
      const { detail } = await refusal(await ask('POST', `${API}/import`, undefined, { ...json, body }), 422)
      expect(detail).toMatch(/nested deeper than 16|more than 1000000 lists and objects/)
    }
  })
})
