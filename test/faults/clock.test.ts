import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import mqtt, { type MqttClient } from 'mqtt'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { encodePack } from '../../firmware-protocol/pack.ts'
import { parseFlags } from '../../broker/flags.ts'
import { hashSecret } from '../../broker/secrets.ts'
import { start, type Running } from '../../broker/start.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { startReceiver, type Receiver } from '../notify/rig/receiver.ts'

const HOUR = 3_600_000
/** The night in which Europe's clocks go from 02:00 to 03:00 local time (Directive 2000/84/EC: the last Sunday in March, 01:00 UTC). */
const SPRING_MS = Date.UTC(2026, 2, 29, 0, 30)

/**
 * The clock of the machine is set while the service runs: by a person, by a time server after hours without one, or by a board without
 * a battery that starts in the past. The whole service runs here in the test's process, on a clock that the test sets; its timers
 * are real. Expected, whatever the step: readings are acknowledged and judged at once, what stands goes on standing, what is
 * shelved comes back, people are called, sessions and batches live on, and nothing throws.
 */
describe('a clock that is set', () => {
  const dir = mkdtempSync(join(tmpdir(), 'brinewatch-clock-'))
  const errors: string[] = []
  let offsetMs = 0
  const clock = (): number => Math.round(SPRING_MS + offsetMs + performance.now() - begunAt)
  const begunAt = performance.now()
  let running: Running
  let receiver: Receiver
  let device: MqttClient
  let http: string
  let vessel: string
  let batch: string
  let seq = 0

  const api = async (method: string, path: string, body?: unknown): Promise<any> => {
    const headers = { 'content-type': 'application/json' }
    const response = await fetch(`${http}/api/v1${path}`, {
      method,
      headers,
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    })
    const text = await response.text()
    expect(response.status, `${method} ${path} ${text}`).toBeLessThan(300)
    return text === '' ? null : JSON.parse(text)
  }
  const standing = async (): Promise<any[]> => (await api('GET', '/alarms?standing=true')).alarms
  const water = async (waterC: number): Promise<void> => {
    const measurements = [{ name: 'water', unit: 'Cel', value: waterC, timeS: 0 }]
    const uptimeS = Math.round((performance.now() - begunAt) / 1000)
    const pack = encodePack({ boot: 'b', seq: seq++, uptimeS, measurements }, 'json')
    await device.publishAsync('brinewatch/v1/bench-1/measurements', Buffer.from(pack), { qos: 1 })
  }
  const soon = async (passes: () => Promise<boolean> | boolean, withinMs = 20_000): Promise<boolean> => {
    for (const end = performance.now() + withinMs; performance.now() < end;) {
      if (await passes()) return true
      await new Promise(resolve => setTimeout(resolve, 40))
    }
    return false
  }
  const stands = (rule: string, is = true) =>
    soon(async () => (await standing()).some(alarm => alarm.rule === rule) === is)
  const open = async (): Promise<void> => {
    const flags = parseFlags([
      '--data',
      dir,
      '--backups',
      'none',
      '--http',
      '127.0.0.1:0',
      '--mqtt',
      '127.0.0.1:0',
    ])
    const note = { write: (line: string) => void errors.push(line) }
    running = await start(flags, { clock, random: () => 0.5, logger: pino({ level: 'error' }, note) })
    http = `http://127.0.0.1:${running.http.port}`
    const credentials = { username: 'bench-1', password: 'secret', reconnectPeriod: 0 }
    device = await mqtt.connectAsync(`mqtt://127.0.0.1:${running.mqtt!.port}`, credentials)
  }
  const close = async (): Promise<void> => {
    await device.endAsync(true)
    await running.close()
  }

  beforeAll(async () => {
    const store = await openStore({ dir, threads: false })
    const row = { name: 'bench-1', secretHash: hashSecret('secret'), createdAtMs: clock() }
    await store.addDevice(row)
    await store.close()
    receiver = await startReceiver()
    await open()
    vessel = (await api('POST', '/vessels', { name: 'Cone 1', litres: 1 })).id
    await api('PUT', `/vessels/${vessel}/channels`, { water: 'bench-1/water' })
    batch = (await api('POST', '/batches', { vesselId: vessel, litres: 1, cystsG: 2, salinityGpl: 25 })).id
    const settings = await api('GET', '/settings')
    Object.assign(settings.rules['water-too-hot'], { onDelayS: 0, offDelayS: 0 })
    Object.assign(settings.rules['device-silent'], { limit: 15 })
    await api('PUT', '/settings', settings)
    const address = { kind: 'webhook', label: 'hook', fromPriority: 'low', reminders: false }
    const person = (name: string, afterMinutes: number) => ({
      name,
      afterMinutes,
      hours: null,
      criticalAnyHour: true,
      addresses: [{ ...address, address: `${receiver.url}/${name}` }],
    })
    await api('PUT', '/notify', { people: [person('first', 0), person('second', 30)] })
  }, 30_000)
  afterAll(async () => {
    await close()
    await receiver.close()
    rmSync(dir, { recursive: true, force: true })
  })

  it('set ahead by three hours: hot water is called at once, and the jump is told of', async () => {
    await water(27)
    offsetMs += 3 * HOUR
    await water(36)
    expect(await stands('water-too-hot')).toBe(true)
    expect(await stands('clock-jumped')).toBe(true)
    await water(27)
  })

  it('set back by five: hot water is called at once, though these hours have been before', async () => {
    for (const { id } of await standing()) await api('POST', `/alarms/${id}/acknowledge`, {})
    expect(await stands('water-too-hot', false)).toBe(true)
    offsetMs -= 5 * HOUR
    const called = receiver.received.length
    await water(36)
    expect(await stands('water-too-hot')).toBe(true)
    expect(await soon(() => receiver.received.length > called)).toBe(true)
    const { vessels } = await api('GET', '/vessels')
    expect(vessels[0].latest.waterC.value).toBeCloseTo(36, 5)
    // The batch is as it was; its forecast is made anew, by this clock.
    const forecast = await api('GET', `/batches/${batch}/forecast`)
    expect(Math.abs(Date.parse(forecast.at) - clock())).toBeLessThan(60_000)
  })

  it('set back while an alarm stands that nobody answers: the next person is called rather than not', async () => {
    offsetMs -= 2 * HOUR
    const second = () => receiver.received.some(({ path }) => path.endsWith('/second'))
    expect(await soon(second)).toBe(true)
  })

  it('set back while an alarm is shelved: it comes back after as long as was asked for', async () => {
    const alarm = (await standing()).find(({ rule }) => rule === 'water-too-hot')
    await api('POST', `/alarms/${alarm.id}/shelve`, { minutes: 5 })
    offsetMs -= 3 * HOUR
    await water(36)
    await new Promise(resolve => setTimeout(resolve, 1500))
    const state = async () => (await standing()).find(({ id }) => id === alarm.id)?.state
    expect(await state()).toBe('shelved')
    // The five minutes pass.
    offsetMs += 301_000
    expect(await soon(async () => (await state()) !== 'shelved')).toBe(true)
  })

  it('started anew by a clock hours behind what is on disk: hot water is called, and silence too', async () => {
    await water(27)
    await close()
    offsetMs -= 4 * HOUR
    await open()
    await water(27)
    await water(36)
    expect(await stands('water-too-hot')).toBe(true)
    offsetMs += 20_000
    expect(await stands('device-silent')).toBe(true)
  }, 15_000)

  it('loses no acknowledged reading, and nothing failed on the way', async () => {
    await close()
    const store = await openStore({ dir, threads: false })
    const source = {
      device: 'bench-1',
      channel: 'water',
      offset: 0,
      fromMs: 0,
      toMs: Number.MAX_SAFE_INTEGER,
    }
    const samples = await store.samples([source])
    await store.close()
    expect(samples).toHaveLength(seq)
    expect(errors).toEqual([])
    await open()
  })
})
