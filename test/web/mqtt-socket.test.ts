import { once } from 'node:events'
import type { Duplex } from 'node:stream'
import { WebSocket } from 'ws'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { bench, type Bench } from './harness.ts'
import { refusedUpgrade } from './live-client.ts'

describe('MQTT over WebSocket', () => {
  let service: Bench
  let url = ''
  const streams: Duplex[] = []
  beforeEach(async () => {
    streams.length = 0
    service = bench({ mqttSocket: stream => void streams.push(stream), signIn: true })
    const { port } = await service.web.listen('127.0.0.1', 0)
    url = `ws://127.0.0.1:${port}/mqtt`
  })
  afterEach(() => service.web.close())

  it('is handed on as a byte stream, both ways; signing in is its own affair', async () => {
    const client = new WebSocket(url, ['mqtt'])
    await once(client, 'open')
    expect(client.protocol).toBe('mqtt')
    const [stream] = streams
    client.send(Buffer.from([0xc0, 0x00]))
    const [bytes] = (await once(stream!, 'data')) as [Buffer]
    expect([...bytes]).toEqual([0xc0, 0x00])
    stream!.write(Buffer.from([0xd0, 0x00]))
    const [answer, isBinary] = (await once(client, 'message')) as [Buffer, boolean]
    expect([[...answer], isBinary]).toEqual([[0xd0, 0x00], true])
    // A stream ends only for those who read on.
    stream!.resume()
    client.close()
    await once(stream!, 'close')
  })

  it('survives a client that breaks off or sends a message over the limit', async () => {
    const rude = new WebSocket(url, ['mqtt'])
    await once(rude, 'open')
    rude.send(Buffer.alloc(256 * 1024 + 1))
    const [code] = (await once(rude, 'close')) as [number]
    expect(code).toBe(1009)
    const gone = new WebSocket(url, ['mqtt'])
    await once(gone, 'open')
    gone.terminate()
    streams.forEach(stream => stream.resume())
    await expect.poll(() => streams.every(stream => stream.destroyed)).toBe(true)
    expect((await service.ask('GET', '/healthz')).status).toBe(200)
  })

  it('is refused without the subprotocol and to a foreign page', async () => {
    expect((await refusedUpgrade(url)).status).toBe(400)
    expect((await refusedUpgrade(url, {}, ['mqttv5', 'other'])).status).toBe(400)
    expect((await refusedUpgrade(url, { origin: 'http://evil.example' }, ['mqtt'])).status).toBe(403)
  })

  it('is cut when the service stops', async () => {
    const client = new WebSocket(url, ['mqtt'])
    await once(client, 'open')
    const closed = once(client, 'close')
    await service.web.close()
    await closed
  })
})
