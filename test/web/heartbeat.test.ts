import { describe, expect, it } from 'vitest'
import { Heartbeat } from '../../broker/web/api/heartbeat.ts'
import { TestResult } from '../../broker/web/api/notify.ts'
import { answer, bench, refusal } from './harness.ts'

const PATH = '/api/v1/notify/heartbeat'
const url = 'https://watcher.example/beat/cellar'

describe('the heartbeat', () => {
  it('is off until somebody sets it, and then as they set it, with defaults for the rest', async () => {
    const { ask, watcher } = bench()
    expect(await answer(await ask('GET', PATH), 200, Heartbeat)).toMatchObject({ settings: null })
    const settings = { url, method: 'GET', everyMinutes: 5, tellTrouble: false }
    expect(await answer(await ask('PUT', PATH, { settings: { url } }), 200, Heartbeat)).toMatchObject({
      settings,
    })
    expect(watcher.changes).toEqual([settings])
    await answer(await ask('PUT', PATH, { settings: null }), 200, Heartbeat)
    expect(watcher.changes.at(-1)).toBeNull()
  })

  it.each([
    [{ url: ' ' }, 'settings.url'],
    [{ url, everyMinutes: 0 }, 'settings.everyMinutes'],
    [{ url, everyMinutes: 2.5 }, 'settings.everyMinutes'],
    [{ url, method: 'PUT' }, 'settings.method'],
  ])('refuses what makes no sense, and names it: %#', async (settings, field) => {
    const { ask, watcher } = bench()
    const { fields } = await refusal(await ask('PUT', PATH, { settings }), 422)
    expect(fields).toContain(field)
    expect(watcher.changes).toEqual([])
  })

  it('says in words what came of a try', async () => {
    const { ask } = bench()
    const result = await answer(await ask('POST', `${PATH}/try`), 200, TestResult)
    expect(result).toEqual({ arrived: false, words: 'That is what came of it.' })
  })

  it('wants a sign-in where one is needed', async () => {
    const { ask } = bench({ signIn: true })
    for (const [method, path] of [
      ['GET', PATH],
      ['PUT', PATH],
      ['POST', `${PATH}/try`],
    ] as const)
      await refusal(await ask(method, path), 401)
  })
})
