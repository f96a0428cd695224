import { describe, expect, it } from 'vitest'
import { Settings } from '../../broker/web/api/schemas.ts'
import { answer, bench, refusal } from './harness.ts'

describe('settings', () => {
  it('are read in seconds, and replaced as a whole', async () => {
    const { ask, room } = bench()
    const settings = await answer(await ask('GET', '/api/v1/settings'), 200, Settings)
    expect(settings.rules['water-too-hot']).toEqual({
      enabled: true,
      limit: 29.4,
      deadband: 0.3,
      onDelayS: 60,
      offDelayS: 30.5,
      priority: 'high',
    })
    const wanted = { ...settings, temperatureUnit: 'F' as const, retentionDays: 30, altitudeM: 1600 }
    wanted.rules['air-lost'] = { ...settings.rules['air-lost'], onDelayS: 15.25 }
    expect(await answer(await ask('PUT', '/api/v1/settings', wanted), 200, Settings)).toEqual(wanted)
    expect(await answer(await ask('GET', '/api/v1/settings'), 200, Settings)).toEqual(wanted)
    expect(room.snapshot().settings.rules['air-lost'].onDelayMs).toBe(15_250)
  })

  it('tell what a new room starts with, whatever they are set to', async () => {
    const { ask } = bench()
    const usual = await answer(await ask('GET', '/api/v1/settings/usual'), 200, Settings)
    // 85 °F, which is taken to kill: common practice, no source.
    expect(usual.rules['water-too-hot']).toMatchObject({ enabled: true, limit: 29.4, priority: 'critical' })
    const changed = { ...usual, rules: { ...usual.rules } }
    changed.rules['water-too-hot'] = { ...usual.rules['water-too-hot'], limit: 31 }
    await ask('PUT', '/api/v1/settings', changed)
    expect(await answer(await ask('GET', '/api/v1/settings/usual'), 200, Settings)).toEqual(usual)
  })

  it('of an older client leave the height above the sea out', async () => {
    const { ask } = bench()
    const older: Partial<Settings> = await answer(await ask('GET', '/api/v1/settings'), 200, Settings)
    delete older.altitudeM
    expect((await answer(await ask('PUT', '/api/v1/settings', older), 200, Settings)).altitudeM).toBe(0)
  })

  it('name the field within a rule that is wrong, or the rule that is missing', async () => {
    const { ask } = bench()
    const settings = await answer(await ask('GET', '/api/v1/settings'), 200, Settings)
    const rules: Partial<typeof settings.rules> = { ...settings.rules }
    delete rules['light-out']
    const bad = {
      ...settings,
      retentionDays: 0.5,
      altitudeM: 9000,
      rules: { ...rules, 'air-lost': { ...rules['air-lost'], deadband: -1 } },
    }
    const { fields } = await refusal(await ask('PUT', '/api/v1/settings', bad), 422)
    expect(fields).toEqual(
      expect.arrayContaining(['retentionDays', 'altitudeM', 'rules.air-lost.deadband', 'rules.light-out']),
    )
  })
})
