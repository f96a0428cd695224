import { describe, expect, it } from 'vitest'
import { StoreError, StoreErrorCode } from '../../broker/store/contract.ts'
import { bench } from './harness.ts'

describe('/healthz', () => {
  it('is 200 while all is well', async () => {
    const response = await bench().ask('GET', '/healthz')
    expect(response.status).toBe(200)
    expect(await response.json()).toEqual({ status: 'ok' })
  })

  it('is 503 and says what is wrong, all of it', async () => {
    const { ask, store } = bench({ ailments: () => ['The MQTT broker cannot be reached'] })
    store.failing = new StoreError(StoreErrorCode.full, 'The disk is full')
    const response = await ask('GET', '/healthz')
    expect(response.status).toBe(503)
    expect(await response.json()).toEqual({
      status: 'ailing',
      ailments: ['The MQTT broker cannot be reached', 'The disk is full'],
    })
  })

  it('does not wait for ever for a store that does not answer', async () => {
    const { ask, store } = bench()
    store.settled = () => new Promise(() => undefined)
    expect((await ask('GET', '/healthz')).status).toBe(503)
  })
})

describe('/metrics', () => {
  it('is OpenMetrics with what intake counted, the alarms that stand, and the process', async () => {
    const { ask } = bench()
    for (let twice = 0; twice < 2; twice++) {
      const response = await ask('GET', '/metrics')
      expect(response.headers.get('content-type')).toBe(
        'application/openmetrics-text; version=1.0.0; charset=utf-8',
      )
      const lines = (await response.text()).split('\n')
      expect(lines).toEqual(
        expect.arrayContaining([
          '# TYPE brinewatch_packs counter',
          'brinewatch_packs_total 3',
          'brinewatch_readings_total 9',
          'brinewatch_repeats_total 1',
          'brinewatch_quarantined_total{reason="not-senml"} 2',
          'brinewatch_refused_total{reason="will"} 4',
          'brinewatch_not_kept_total 0',
          'brinewatch_alarms_standing{priority="critical"} 1',
          'brinewatch_alarms_standing{priority="low"} 0',
          'brinewatch_live_clients 0',
          '# EOF',
        ]),
      )
      expect(lines.some(line => /^process_resident_memory_bytes \d/.test(line))).toBe(true)
    }
  })
})
