import { describe, expect, it } from 'vitest'
import { AlarmList } from '../../broker/web/api/lists.ts'
import { Alarm } from '../../broker/web/api/schemas.ts'
import { hashSecret } from '../../broker/secrets.ts'
import { anAlarm } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

describe('alarms', () => {
  it('are those that stand, unless the past is asked for', async () => {
    const { ask, room } = bench()
    room.alarmRows.set('old', anAlarm({ id: 'old', vesselId: 'v2', state: 'normal', clearedAtMs: 1 }))
    const ids = async (query: string) => {
      const { alarms } = await answer(await ask('GET', `/api/v1/alarms${query}`), 200, AlarmList)
      return alarms.map(alarm => alarm.id)
    }
    expect(await ids('')).toEqual(['alarm-1'])
    expect(await ids('?standing=false')).toEqual(['alarm-1', 'old'])
    expect(await ids('?standing=false&vesselId=v2')).toEqual(['old'])
    expect(await ids('?standing=false&limit=1')).toEqual(['alarm-1'])
    expect((await refusal(await ask('GET', '/api/v1/alarms?standing=1&limit=1001'), 422)).fields).toEqual([
      'standing',
      'limit',
    ])
  })

  it('say what stands, why, since when and what to do', async () => {
    const { alarms } = await answer(await bench().ask('GET', '/api/v1/alarms'), 200, AlarmList)
    expect(alarms[0]).toMatchObject({
      rule: 'water-too-hot',
      state: 'unacknowledged',
      priority: 'critical',
      reason: 'above-limit',
      raisedAt: '2026-11-25T06:39:00.000Z',
      clearedAt: null,
      action: 'Take the lamp away.',
      value: 30.1,
      limit: 29.4,
    })
  })

  it.each([
    [{ by: 'Kim' }, 'Kim'],
    [undefined, 'somebody at the screen'],
    [{}, 'somebody at the screen'],
  ])('are acknowledged with body %j by %s', async (body, by) => {
    const { ask } = bench()
    const alarm = await answer(await ask('POST', '/api/v1/alarms/alarm-1/acknowledge', body), 200, Alarm)
    expect(alarm).toMatchObject({
      state: 'acknowledged',
      acknowledgedBy: by,
      acknowledgedAt: '2026-11-25T06:40:00.000Z',
    })
  })

  it('are acknowledged by the name of the token that asks', async () => {
    const { ask, store } = bench({ signIn: true })
    store.tokenRows.push({ name: 'pager', hash: hashSecret('t0ken'), createdAtMs: 0 })
    const headers = { authorization: 'Bearer t0ken' }
    const response = await ask('POST', '/api/v1/alarms/alarm-1/acknowledge', undefined, { headers })
    expect((await answer(response, 200, Alarm)).acknowledgedBy).toBe('pager')
  })

  it('refuse an empty name and an alarm that is not there', async () => {
    const { ask } = bench()
    const path = '/api/v1/alarms/alarm-1/acknowledge'
    expect((await refusal(await ask('POST', path, { by: ' ' }), 422)).fields).toEqual(['by'])
    await refusal(await ask('POST', '/api/v1/alarms/none/acknowledge'), 404)
  })
})
