import mqtt from 'mqtt'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { topicOf, TopicKind } from '../../firmware-protocol/topics.ts'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from './program.ts'

/** The whole main job on the built program, fed by an MQTT client that is not ours. */
describe('a vessel watched from device to alarm', () => {
  const dir = freshDir()
  let program: Program
  let device: { device: string; password: string }
  let vesselId: string

  beforeAll(async () => {
    program = await startProgram(dir)
    device = program.addDevice('bench-1')
  })
  afterAll(async () => {
    await program.stop()
    removeDir(dir)
  })

  const latest = async () => (await program.api('GET', `/api/v1/vessels/${vesselId}`)).body.latest
  const alarms = async () => (await program.api('GET', '/api/v1/alarms')).body.alarms as any[]

  it('is ready within 5 s of a built tree', () => {
    expect(program.readyAfterMs).toBeLessThan(5000)
  })

  it('adds a device while it runs', () => {
    expect(device.device).toBe('bench-1')
    expect(device.password.length).toBeGreaterThan(20)
  })

  it('creates a vessel and assigns channels', async () => {
    const made = await program.api('POST', '/api/v1/vessels', { name: 'Cone 1', litres: 1 })
    expect(made.status).toBe(201)
    vesselId = made.body.id
    const put = await program.api('PUT', `/api/v1/vessels/${vesselId}/channels`, {
      water: 'bench-1/water',
      air: 'bench-1/air',
      light: 'bench-1/light',
    })
    expect(put.status).toBe(200)
  })

  it('shows a reading that mosquitto_pub sent, converted to the units of the API', async () => {
    const sent = mosquittoPub(
      program,
      device,
      JSON.stringify([
        { n: 'water', u: 'Cel', v: 27.0625 },
        { n: 'air', u: 'l/s', v: 0.01 },
        { n: 'light', u: 'lx', v: 2100 },
      ]),
    )
    expect(sent.status).toBe(0)
    const shown = await latest()
    expect(shown.waterC).toMatchObject({ value: 27.0625, quality: 'good' })
    expect(Math.abs(Date.parse(shown.waterC.at) - Date.now())).toBeLessThan(10_000)
    expect(shown.airLpm.value).toBeCloseTo(0.6, 9)
    expect(shown.lightLx.value).toBe(2100)
  })

  it('places a backlog in time and gives it back down-sampled with its extremes', async () => {
    // One reading a minute for 20 h, oldest first, relative times; one dip and one peak that a chart must not lose.
    const minutes = 20 * 60
    const now = Date.now()
    const records = Array.from({ length: minutes }, (_, i) => ({
      n: 'water',
      u: 'Cel',
      v: i === 300 ? 22.5 : i === 700 ? 28.9 : 27,
      t: -60 * (minutes - i),
    }))
    for (let i = 0; i < records.length; i += 300) {
      expect(mosquittoPub(program, device, JSON.stringify(records.slice(i, i + 300))).status).toBe(0)
    }
    const from = now - 21 * 3_600_000
    const { body } = await program.api(
      'GET',
      `/api/v1/vessels/${vesselId}/readings?from=${from}&to=${now}&points=100`,
    )
    const water = body.channels.water
    expect(water.t.length).toBeGreaterThan(50)
    expect(water.t.length).toBeLessThanOrEqual(100)
    expect(Math.min(...water.min)).toBe(22.5)
    expect(Math.max(...water.max)).toBe(28.9)
    expect(water.t[0]).toBeGreaterThan(now - 20.1 * 3_600_000)
    expect([...water.t].sort((a: number, b: number) => a - b)).toEqual(water.t)
  })

  it('forecasts the hatch of a batch that was started in the past', async () => {
    const startedAt = new Date(Date.now() - 19 * 3_600_000).toISOString()
    const made = await program.api('POST', '/api/v1/batches', {
      vesselId,
      startedAt,
      litres: 1,
      cystsG: 2,
      salinityGpl: 25,
      lot: 'Lot A',
    })
    expect(made.status).toBe(201)
    const { body } = await program.api('GET', `/api/v1/batches/${made.body.id}/forecast`)
    for (const band of [body.t10, body.t90]) {
      expect(Date.parse(band.p10)).toBeLessThanOrEqual(Date.parse(band.p50))
      expect(Date.parse(band.p50)).toBeLessThanOrEqual(Date.parse(band.p90))
    }
    // 24 h in warm water is common practice, 36 h when cooler: the middle of T90 lies in that span at 27 °C.
    const hours = (time: string) => (Date.parse(time) - Date.parse(startedAt)) / 3_600_000
    expect(hours(body.t90.p50)).toBeGreaterThan(18)
    expect(hours(body.t90.p50)).toBeLessThan(36)
    expect(hours(body.harvest.from)).toBeLessThanOrEqual(hours(body.harvest.best))
    expect(hours(body.harvest.best)).toBeLessThanOrEqual(hours(body.harvest.until))
    expect(body.hatchedNow.p50).toBeGreaterThan(0)
    expect(body.hatchedNow.p50).toBeLessThanOrEqual(1)
  })

  it('raises an alarm when the water gets too hot, and lets a person acknowledge it', async () => {
    mosquittoPub(program, device, JSON.stringify([{ n: 'water', u: 'Cel', v: 30.1 }]))
    const raised = (
      await until(alarms, list => list.some(alarm => alarm.rule === 'water-too-hot'), 2000)
    ).find(alarm => alarm.rule === 'water-too-hot')
    expect(raised).toMatchObject({
      vesselId,
      state: 'unacknowledged',
      priority: 'critical',
      reason: 'above-limit',
    })
    expect(raised.text).toMatch(/30\.1 °C/)
    expect(raised.text).toMatch(/86\.2 °F/)
    const answer = await program.api('POST', `/api/v1/alarms/${raised.id}/acknowledge`, {})
    expect(answer.status).toBe(200)
    expect((await alarms()).find(alarm => alarm.id === raised.id)?.state).toBe('acknowledged')
  })

  it('says that air is lost', async () => {
    mosquittoPub(program, device, JSON.stringify([{ n: 'air', u: 'l/min', v: 0, t: -60 }]))
    mosquittoPub(program, device, JSON.stringify([{ n: 'air', u: 'l/min', v: 0 }]))
    const lost = (await until(alarms, list => list.some(alarm => alarm.rule === 'air-lost'), 30_000)).find(
      alarm => alarm.rule === 'air-lost',
    )
    expect(lost).toMatchObject({ vesselId, state: 'unacknowledged' })
  })

  it('never takes a fault value for a temperature', async () => {
    mosquittoPub(program, device, JSON.stringify([{ n: 'water', u: 'Cel', v: 85 }]))
    expect((await latest()).waterC).toMatchObject({ value: 85, quality: 'power-on' })
    mosquittoPub(program, device, JSON.stringify([{ n: 'water', u: 'Cel', v: -127 }]))
    expect((await latest()).waterC).toMatchObject({ value: -127, quality: 'disconnected' })
  })

  it('acknowledges what it cannot read, and shows it', async () => {
    expect(mosquittoPub(program, device, '{"not senml').status).toBe(0)
    const { body } = await program.api('GET', '/api/v1/quarantine')
    expect(body.quarantine[0]).toMatchObject({ device: 'bench-1', reason: 'not-senml' })
    expect(Buffer.from(body.quarantine[0].payloadBase64, 'base64').toString()).toBe('{"not senml')
    const metrics = (await program.api('GET', '/metrics')).body as string
    expect(metrics).toMatch(/brinewatch_quarantined_total\{reason="not-senml"\} 1/)
  })

  it('takes readings over MQTT on a WebSocket of the HTTP port, too', async () => {
    const client = await mqtt.connectAsync(`${program.http.replace('http', 'ws')}/mqtt`, {
      username: device.device,
      password: device.password,
      clientId: 'by-websocket',
    })
    await client.publishAsync(
      topicOf('bench-1', TopicKind.measurements),
      '[{"n":"light","u":"lx","v":1999}]',
      {
        qos: 1,
      },
    )
    expect((await latest()).lightLx.value).toBe(1999)
    await client.endAsync()
  })

  it('refuses a wrong password and a topic of another device', () => {
    expect(mosquittoPub(program, { ...device, password: 'wrong' }, '[]').status).not.toBe(0)
    const other = mosquittoPub(
      program,
      device,
      '[{"n":"water","u":"Cel","v":20}]',
      'brinewatch/v1/bench-2/measurements',
    )
    expect(other.status).not.toBe(0)
  })

  it('names the field that is wrong', async () => {
    const bad = await program.api('POST', '/api/v1/batches', {
      vesselId,
      litres: -1,
      cystsG: 2,
      salinityGpl: 25,
    })
    expect(bad.status).toBeGreaterThanOrEqual(400)
    expect(bad.status).toBeLessThan(500)
    expect(bad.type).toContain('application/problem+json')
    expect(JSON.stringify(bad.body)).toContain('litres')
  })

  it('is as it was after a restart', async () => {
    const before = await alarms()
    expect(await program.stop()).toBe(0)
    program = await startProgram(dir)
    const after = await alarms()
    expect(after.map(alarm => [alarm.id, alarm.state])).toEqual(before.map(alarm => [alarm.id, alarm.state]))
    expect((await latest()).waterC).toMatchObject({ value: -127, quality: 'disconnected' })
    expect((await latest()).lightLx.value).toBe(1999)
    expect(mosquittoPub(program, device, JSON.stringify([{ n: 'water', u: 'Cel', v: 27 }])).status).toBe(0)
    expect((await latest()).waterC.value).toBe(27)
  })

  it('stops cleanly within 5 s', async () => {
    const from = Date.now()
    expect(await program.stop()).toBe(0)
    expect(Date.now() - from).toBeLessThan(5000)
  })
})
