import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { startReceiver, withStatus, type Receiver } from '../notify/rig/receiver.ts'
import { freshDir, removeDir, startProgram, until, type Program } from './program.ts'

const PATH = '/api/v1/notify/heartbeat'

/** What a watcher outside hears of the built program. */
describe('the heartbeat of the program', () => {
  const dir = freshDir()
  let receiver: Receiver
  let program: Program
  const beats = (least: number) =>
    until(
      async () => receiver.received.length,
      count => count >= least,
      10_000,
    )

  beforeAll(async () => {
    receiver = await startReceiver()
    program = await startProgram(dir)
  })
  afterAll(async () => {
    await program.stop()
    await receiver.close()
    removeDir(dir)
  })

  it('begins as soon as it is set, and is shown', async () => {
    const settings = { url: `${receiver.url}/beat/cellar`, method: 'POST', everyMinutes: 1 }
    expect((await program.api('PUT', PATH, { settings })).status).toBe(200)
    expect(await beats(1)).toBe(1)
    expect(JSON.parse(receiver.received[0]!.body)).toMatchObject({
      status: 'ok',
      ailments: [],
      everyMinutes: 1,
    })
    const shown = await until(
      async () => (await program.api('GET', PATH)).body,
      ({ lastBeatAt }) => lastBeatAt !== null,
    )
    expect(shown).toMatchObject({ ailments: [], missed: null, failing: false })
  })

  it('tells in words what comes of a try', async () => {
    receiver.answer = withStatus(401)
    expect((await program.api('POST', `${PATH}/try`)).body).toEqual({
      arrived: false,
      words: 'The receiver answered with status 401',
    })
    receiver.answer = withStatus(200)
    expect((await program.api('POST', `${PATH}/try`)).body).toMatchObject({ arrived: true })
  })

  it('is not there after a kill, and there again after a start', async () => {
    await program.kill()
    const before = receiver.received.length
    await new Promise(resolve => setTimeout(resolve, 1500))
    expect(receiver.received).toHaveLength(before)
    program = await startProgram(dir)
    expect(await beats(before + 1)).toBe(before + 1)
  })

  it('keeps the address out of the log', async () => {
    expect(await program.stop()).toBe(0)
    expect(program.log()).not.toContain('/beat/cellar')
  })
})
