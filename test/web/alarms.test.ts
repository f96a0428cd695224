import { describe, expect, it } from 'vitest'
import { Suppression } from '../../broker/web/api/alarm-acts.ts'
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
    store.tokenRows.push({ name: 'pager', hash: hashSecret('t0ken'), createdAtMs: 0, role: 'owner' })
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

  it('are listed by state, one or several', async () => {
    const { ask, room } = bench()
    room.alarmRows.set(
      'aside',
      anAlarm({ id: 'aside', state: 'shelved', shelvedUntilMs: 1, setAsideBy: 'Kim' }),
    )
    const ids = async (query: string) => {
      const { alarms } = await answer(await ask('GET', `/api/v1/alarms${query}`), 200, AlarmList)
      return alarms.map(alarm => alarm.id)
    }
    expect(await ids('?state=shelved')).toEqual(['aside'])
    expect(await ids('?state=shelved,unacknowledged')).toEqual(['alarm-1', 'aside'])
    expect((await refusal(await ask('GET', '/api/v1/alarms?state=gone'), 422)).fields).toEqual(['state'])
  })

  it('are shelved for minutes or once, never both or neither, and brought back', async () => {
    const { ask } = bench()
    const path = '/api/v1/alarms/alarm-1'
    const shelved = await answer(await ask('POST', `${path}/shelve`, { minutes: 15, by: 'Kim' }), 200, Alarm)
    expect(shelved).toMatchObject({
      state: 'shelved',
      shelvedUntil: '2026-11-25T06:55:00.000Z',
      shelvedOnce: false,
      setAsideBy: 'Kim',
    })
    const once = await answer(await ask('POST', `${path}/shelve`, { oneShot: true }), 200, Alarm)
    expect(once).toMatchObject({ shelvedOnce: true, setAsideBy: 'somebody at the screen' })
    for (const body of [{}, { minutes: 15, oneShot: true }, { minutes: 4 }, { minutes: 721 }])
      expect((await refusal(await ask('POST', `${path}/shelve`, body), 422)).fields).toEqual(['minutes'])
    const back = await answer(await ask('POST', `${path}/unshelve`), 200, Alarm)
    expect(back.state).toBe('unacknowledged')
    expect((await answer(await ask('POST', `${path}/reset`), 200, Alarm)).state).toBe('normal')
  })

  it('of a rule are taken out of service and returned; a rule that does not exist is refused', async () => {
    const { ask } = bench()
    const path = '/api/v1/vessels/v1/rules/air-lost'
    const out = await answer(await ask('POST', `${path}/out-of-service`), 200, Alarm)
    expect(out).toMatchObject({ rule: 'air-lost', state: 'out-of-service' })
    const said = await ask('POST', `${path}/out-of-service`, { minutes: 60, why: 'a new pump' })
    const told = await answer(said, 200, Alarm)
    expect(told.outWhy).toBe('a new pump')
    expect(told.outUntil).toBeDefined()
    await refusal(await ask('POST', `${path}/out-of-service`, { minutes: 1 }), 422)
    await answer(await ask('POST', `${path}/in-service`), 200, Alarm)
    await refusal(await ask('POST', '/api/v1/vessels/v1/rules/none/out-of-service'), 422)
    await refusal(await ask('POST', '/api/v1/vessels/none/rules/air-lost/out-of-service'), 404)
  })

  it('are suppressed for work, half an hour unless said, an hour and a half at most', async () => {
    const { ask } = bench()
    const path = '/api/v1/vessels/v1/suppress'
    const work = await answer(await ask('POST', path, { reason: 'harvest', by: 'Kim' }), 200, Suppression)
    expect(work).toEqual({
      reason: 'harvest',
      by: 'Kim',
      since: '2026-11-25T06:40:00.000Z',
      until: '2026-11-25T07:10:00.000Z',
    })
    for (const [body, field] of [
      [{ reason: 'harvest', minutes: 91 }, 'minutes'],
      [{ reason: 'harvest', minutes: 0 }, 'minutes'],
      [{ reason: 'sleep' }, 'reason'],
    ] as const)
      expect((await refusal(await ask('POST', path, body), 422)).fields).toEqual([field])
    expect((await ask('DELETE', path)).status).toBe(204)
  })
})
