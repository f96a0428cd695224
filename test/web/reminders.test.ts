import { describe, expect, it } from 'vitest'
import { Reminder, ReminderList } from '../../broker/web/api/reminders.ts'
import { answer, bench, refusal } from './harness.ts'

describe('reminders', () => {
  it('say what is due, and go once they are done', async () => {
    const { ask } = bench()
    const listed = async () =>
      (await answer(await ask('GET', '/api/v1/reminders'), 200, ReminderList)).reminders
    expect(await listed()).toMatchObject([
      { id: 'b1.knock-down', kind: 'knock-down', vesselId: 'v1', dueAt: expect.stringMatching(/Z$/) },
    ])
    const path = '/api/v1/reminders/b1.knock-down/done'
    expect(await answer(await ask('POST', path, {}), 200, Reminder)).toMatchObject({ batchId: 'b1' })
    expect(await listed()).toEqual([])
    await refusal(await ask('POST', path, {}), 404)
  })

  it('come back when they were ticked off by mistake', async () => {
    const { ask } = bench()
    const path = '/api/v1/reminders/b1.knock-down/done'
    await refusal(await ask('DELETE', path), 404)
    await ask('POST', path, {})
    expect((await ask('DELETE', path)).status).toBe(204)
    const { reminders } = await answer(await ask('GET', '/api/v1/reminders'), 200, ReminderList)
    expect(reminders.map(({ id }) => id)).toEqual(['b1.knock-down'])
    await refusal(await ask('DELETE', path), 404)
  })
})
