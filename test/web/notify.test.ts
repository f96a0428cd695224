import { describe, expect, it } from 'vitest'
import { NotifySettings, OutboxList, TestResult } from '../../broker/web/api/notify.ts'
import { answer, bench, refusal } from './harness.ts'

const person = {
  name: 'The keeper',
  afterMinutes: 0,
  hours: null,
  criticalAnyHour: true,
  addresses: [
    {
      kind: 'webhook',
      label: 'hall',
      fromPriority: 'low',
      reminders: false,
      address: 'http://127.0.0.1:9/x',
    },
  ],
}

describe('who is called', () => {
  it('is told without a secret, and changed', async () => {
    const { ask, calling } = bench()
    const shown = await answer(await ask('GET', '/api/v1/notify'), 200, NotifySettings)
    expect(shown.people[0]!.name).toBe('The keeper')
    const sent = { people: [person], email: null, webhook: { secret: 'a secret of mine' } }
    const after = await ask('PUT', '/api/v1/notify', sent)
    expect(await after.clone().text()).not.toContain('a secret of mine')
    await answer(after, 200, NotifySettings)
    // What was left out arrives as left out, not as undefined: it means "stays as it is".
    expect(calling.changes).toEqual([{ ...sent, tellWhenOver: true, publicUrl: null }])
    expect(Object.keys((calling.changes[0] as any).people[0])).not.toContain('id')
  })

  it.each([
    [{ ...person, hours: { from: '7', to: '22:00', zone: 'UTC' } }, 'people.0.hours.from'],
    [{ ...person, afterMinutes: -1 }, 'people.0.afterMinutes'],
    [{ ...person, name: ' ' }, 'people.0.name'],
    [{ ...person, addresses: [{ ...person.addresses[0], kind: 'pigeon' }] }, 'people.0.addresses.0.kind'],
  ])('refuses what makes no sense, and names it: %#', async (wrong, field) => {
    const { ask, calling } = bench()
    const { fields } = await refusal(await ask('PUT', '/api/v1/notify', { people: [wrong] }), 422)
    expect(fields).toContain(field)
    expect(calling.changes).toEqual([])
  })

  it('says in words what came of a test, and what was sent of late', async () => {
    const { ask } = bench()
    const test = (personId: string) => ask('POST', '/api/v1/notify/test', { personId, addressId: 'a1' })
    const result = await answer(await test('p1'), 200, TestResult)
    expect(result).toEqual({ arrived: false, words: 'The receiver answered with status 500' })
    await refusal(await test('p9'), 404)
    const { deliveries } = await answer(await ask('GET', '/api/v1/notify/outbox'), 200, OutboxList)
    expect(deliveries[0]).toMatchObject({ state: 'waiting', attempts: 1, doneAt: null })
    expect(deliveries[0]!.nextAt).toMatch(/Z$/)
  })

  it('wants a sign-in where one is needed', async () => {
    const { ask } = bench({ signIn: true })
    for (const [method, path] of [
      ['GET', '/api/v1/notify'],
      ['PUT', '/api/v1/notify'],
      ['GET', '/api/v1/notify/outbox'],
      ['POST', '/api/v1/notify/test'],
    ] as const)
      await refusal(await ask(method, path), 401)
  })
})
