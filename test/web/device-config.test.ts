import { describe, expect, it } from 'vitest'
import { DeviceConfig } from '../../broker/web/api/device-config.ts'
import { NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

const PATH = '/api/v1/devices/bench-1/config'

describe('the settings of a device', () => {
  it('are those of the protocol until somebody sets others, and count their changes', async () => {
    const { ask } = bench()
    expect(await answer(await ask('GET', PATH), 200, DeviceConfig)).toEqual({
      revision: 0,
      sampleIntervalS: 1,
      reportIntervalS: 5,
      stateIntervalS: 60,
      silentBrokerMinutes: 10,
      limits: {},
    })
    const sent = { sampleIntervalS: 5, reportIntervalS: 30, limits: { water: { high: 29.4 }, air: {} } }
    const set = await answer(await ask('PUT', PATH, sent), 200, DeviceConfig)
    expect(set).toMatchObject({ revision: 1, sampleIntervalS: 5, stateIntervalS: 60 })
    expect(set.limits).toEqual({ water: { high: 29.4 } })
    expect(await answer(await ask('PUT', PATH, sent), 200, DeviceConfig)).toMatchObject({ revision: 2 })
    expect(await answer(await ask('GET', PATH), 200, DeviceConfig)).toMatchObject({ revision: 2 })
  })

  it.each([
    [{ sampleIntervalS: 0 }, 'sampleIntervalS'],
    [{ reportIntervalS: 3601, silentBrokerMinutes: 0 }, 'reportIntervalS'],
    [{ stateIntervalS: 9 }, 'stateIntervalS'],
    [{ silentBrokerMinutes: -1 }, 'silentBrokerMinutes'],
    // Two reports of 5 min are 10 min: a broker that answered one late would count as silent.
    [{ silentBrokerMinutes: 10, reportIntervalS: 300 }, 'silentBrokerMinutes'],
    [{ limits: { water: { low: 30, high: 29 } } }, 'limits.water'],
  ])('are refused when a device could not go by them: %#', async (sent, field) => {
    const { ask } = bench()
    expect((await refusal(await ask('PUT', PATH, sent), 422)).fields).toEqual([field])
  })

  it('are set for a device that may speak alone', async () => {
    const { ask, store } = bench()
    await refusal(await ask('PUT', '/api/v1/devices/nobody/config', {}), 404)
    await refusal(await ask('GET', '/api/v1/devices/a%2Fb/config'), 422)
    store.deviceRows.push({ name: 'bench-1', secretHash: 'x', createdAtMs: 0, revokedAtMs: NOW_MS })
    await refusal(await ask('GET', PATH), 404)
  })
})
