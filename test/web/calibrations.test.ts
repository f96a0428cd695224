import { describe, expect, it } from 'vitest'
import {
  Calibration,
  CalibrationList,
  CalibrationMade,
  ProbeLook,
} from '../../broker/web/api/calibrations.ts'
import { Settings } from '../../broker/web/api/schemas.ts'
import { AdoptedTopic, BridgeCredential, BridgeList, SeenTopicList } from '../../broker/web/api/topics.ts'
import { answer, bench, refusal } from './harness.ts'

const point = { reference: 'ice', from: '2026-01-01T00:00:00Z', to: '2026-01-01T00:02:00Z' }

describe('calibrations over HTTP', () => {
  it('are looked at, reckoned, kept and taken back', async () => {
    const { ask } = bench()
    const look = await answer(await ask('GET', '/api/v1/probe?probe=bench-1/2/water'), 200, ProbeLook)
    expect(look.rest).toMatchObject({ steady: true, waitS: 0 })
    const sent = { probe: 'bench-1/2/water', points: [point] }
    const made = await answer(await ask('POST', '/api/v1/calibrations/reckon', sent), 200, CalibrationMade)
    expect(made).toMatchObject({ offset: -0.3, gain: 1 })
    const kept = await answer(
      await ask('POST', '/api/v1/calibrations', { ...sent, by: 'Ana' }),
      201,
      Calibration,
    )
    expect(kept).toMatchObject({ probe: 'bench-1/2/water', by: 'Ana', withdrawnAt: null })
    const back = await answer(await ask('POST', `/api/v1/calibrations/${kept.id}/withdraw`), 200, Calibration)
    expect(back.withdrawnAt).not.toBeNull()
    const { calibrations } = await answer(await ask('GET', '/api/v1/calibrations'), 200, CalibrationList)
    expect(calibrations).toHaveLength(1)
  })

  it('are refused with the field that is wrong', async () => {
    const { ask } = bench()
    const hot = { probe: 'a/water', points: [{ ...point, reference: 'thermometer', referenceC: 28 }] }
    expect((await refusal(await ask('POST', '/api/v1/calibrations', hot), 422)).fields).toEqual(['points.0'])
    expect(
      (await refusal(await ask('POST', '/api/v1/calibrations', { probe: 'a', points: [] }), 422)).fields,
    ).toEqual(expect.arrayContaining(['probe', 'points']))
    await refusal(await ask('POST', '/api/v1/calibrations/nope/withdraw'), 404)
  })

  it('have their settings', async () => {
    const { ask } = bench()
    const settings = await answer(await ask('GET', '/api/v1/settings'), 200, Settings)
    expect(settings.calibrateEveryDays).toBe(365)
    const rules = {
      ...settings.rules,
      'water-too-hot': { ...settings.rules['water-too-hot'], allowForProbe: false },
    }
    const changed = { ...settings, calibrateEveryDays: 0, rules }
    expect(await answer(await ask('PUT', '/api/v1/settings', changed), 200, Settings)).toEqual(changed)
  })
})

describe('sensors that are there already over HTTP', () => {
  it('are seen, adopted and dropped', async () => {
    const { ask } = bench()
    const { topics } = await answer(await ask('GET', '/api/v1/topics'), 200, SeenTopicList)
    const [seen] = topics
    const sent = { topic: seen!.topic, pointer: '/t', device: 'shelf', channel: 'water', unit: 'Cel' }
    const made = await answer(await ask('POST', '/api/v1/adopted-topics', sent), 201, AdoptedTopic)
    expect(made).toMatchObject({ scale: 1, offset: 0 })
    const taken = await ask('POST', '/api/v1/adopted-topics', { ...sent, device: 'bench-1' })
    expect((await refusal(taken, 409)).fields).toEqual(['device'])
    expect((await ask('DELETE', `/api/v1/adopted-topics/${made.id}`)).status).toBe(204)
    await refusal(await ask('DELETE', `/api/v1/adopted-topics/${made.id}`), 404)
  })

  it('have credentials, whose password is shown once', async () => {
    const { ask } = bench()
    const sent = { name: 'house', topics: ['home/#'] }
    const made = await answer(await ask('POST', '/api/v1/bridges', sent), 201, BridgeCredential)
    expect(made).toEqual({ bridge: 'house', password: 'secret', topics: ['home/#'] })
    const list = await ask('GET', '/api/v1/bridges')
    expect(JSON.stringify(await answer(list, 200, BridgeList))).not.toContain('secret')
    expect((await ask('DELETE', '/api/v1/bridges/house')).status).toBe(204)
  })
})
