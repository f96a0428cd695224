import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { startReceiver, withStatus, type Receiver } from '../notify/rig/receiver.ts'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from './program.ts'

const PEOPLE = 50
const ADDRESSES = 10
const VESSELS = 2
/** Every alarm is told to everybody by every address. */
const NOTIFICATIONS = PEOPLE * ADDRESSES * VESSELS
/** Runs the waits between attempts down quicker; what is tested does not depend on it. */
const SPEED = ['--clock-speed', '60']

/** What people are told, by the built program. */
describe('calling people', () => {
  let dir: string
  let receiver: Receiver
  let program: Program
  let device: { device: string; password: string }

  async function settle(people: number, addresses: number): Promise<void> {
    const { body } = await program.api('GET', '/api/v1/settings')
    for (const name of Object.keys(body.rules)) body.rules[name].enabled = name === 'water-too-hot'
    // Low: what is more urgent is told again while nobody answers, and at this speed that is every few seconds.
    Object.assign(body.rules['water-too-hot'], { onDelayS: 0, priority: 'low' })
    await program.api('PUT', '/api/v1/settings', body)
    const answer = await program.api('PUT', '/api/v1/notify', {
      people: Array.from({ length: people }, (_, p) => ({
        name: `Keeper ${p}`,
        afterMinutes: 0,
        hours: null,
        criticalAnyHour: true,
        addresses: Array.from({ length: addresses }, (_, a) => ({
          kind: 'webhook',
          label: `hook ${a}`,
          fromPriority: 'low',
          reminders: true,
          address: `${receiver.url}/${p}/${a}`,
        })),
      })),
    })
    expect(answer.status, JSON.stringify(answer.body)).toBe(200)
  }
  async function vessels(count: number): Promise<void> {
    for (let n = 1; n <= count; n++) {
      const { body } = await program.api('POST', '/api/v1/vessels', { name: `Cone ${n}`, litres: 1 })
      await program.api('PUT', `/api/v1/vessels/${body.id}/channels`, { water: `bench-1/${n}/water` })
    }
  }
  const heat = (count: number): void => {
    const records = Array.from({ length: count }, (_, n) => ({ n: `${n + 1}/water`, u: 'Cel', v: 36 }))
    expect(mosquittoPub(program, device, JSON.stringify(records)).status).toBe(0)
  }
  const standing = async () => (await program.api('GET', '/api/v1/alarms?standing=true')).body.alarms

  beforeEach(async () => {
    dir = freshDir()
    receiver = await startReceiver()
  })
  afterEach(async () => {
    await program.kill()
    await receiver.close()
    removeDir(dir)
  })

  it(`delivers each of ${NOTIFICATIONS} notifications through a receiver that fails half the time, killed again and again`, async () => {
    program = await startProgram(dir, SPEED)
    device = program.addDevice('bench-1')
    await settle(PEOPLE, ADDRESSES)
    await vessels(VESSELS)
    // A generator of Park and Miller, so that every run fails in the same way.
    let state = 20_260_110
    const chance = () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647
    const taken = new Map<string, number>()
    receiver.answer = (received, response) => {
      const fate = chance()
      if (fate < 0.4) return withStatus(503)(received, response)
      // Taken, but the answer is lost: it has to come again, under the same key.
      if (fate < 0.5) return void response.destroy()
      taken.set(received.key, (taken.get(received.key) ?? 0) + 1)
      // What comes in the same moment as a kill finds nobody to answer.
      setTimeout(() => response.end(), chance() * 20)
    }
    heat(VESSELS)
    // The alarms are on disk, and with them all that is to be told of them: from here on nothing may be lost.
    expect(await until(standing, alarms => alarms.length === VESSELS)).toHaveLength(VESSELS)
    await until(
      async () => taken.size,
      size => size > 0,
    )
    let kills = 0
    while (taken.size < NOTIFICATIONS && kills < 6) {
      await new Promise(resolve => setTimeout(resolve, 150 + 70 * kills))
      await program.kill()
      kills += 1
      program = await startProgram(dir, SPEED)
    }
    expect(kills).toBe(6)
    await until(
      async () => taken.size,
      size => size >= NOTIFICATIONS,
      120_000,
    )
    expect(taken.size).toBe(NOTIFICATIONS)
    const alarms = await standing()
    const keys = [...taken.keys()]
    for (const alarm of alarms)
      expect(keys.filter(key => key.startsWith(`${alarm.id}.`))).toHaveLength(PEOPLE * ADDRESSES)
    // All answers are in: a clean stop and another start send nothing again.
    await until(
      async () => (await program.api('GET', '/api/v1/notify/outbox?limit=500')).body.deliveries,
      (list: any[]) => list.every(each => each.state === 'delivered'),
    )
    expect(await program.stop()).toBe(0)
    const before = receiver.received.length
    program = await startProgram(dir, SPEED)
    await new Promise(resolve => setTimeout(resolve, 1500))
    expect(receiver.received).toHaveLength(before)
  }, 300_000)

  it('tells within a second of the reading, while another receiver hangs', async () => {
    const silent = await startReceiver(() => undefined)
    program = await startProgram(dir)
    device = program.addDevice('bench-1')
    await settle(1, 1)
    const { body } = await program.api('GET', '/api/v1/notify')
    const [person] = body.people
    const hanging = { ...person.addresses[0], address: `${silent.url}/hangs`, label: 'hangs' }
    delete hanging.id
    await program.api('PUT', '/api/v1/notify', {
      people: [{ ...person, addresses: [hanging, ...person.addresses] }],
    })
    await vessels(1)
    const from = Date.now()
    heat(1)
    await until(
      async () => receiver.received.length,
      count => count > 0,
    )
    // The time of the publishing program's own start is in it.
    expect(receiver.received[0]!.atMs - from).toBeLessThan(1000)
    await until(
      async () => silent.received.length,
      count => count > 0,
    )
    expect(silent.received).toHaveLength(1)
    // A stop does not wait for it longer than a moment.
    const stopFrom = Date.now()
    expect(await program.stop()).toBe(0)
    expect(Date.now() - stopFrom).toBeLessThan(6000)
    await silent.close()
  })

  /** Rightly and wrongly, over every way in; each by what it opens. */
  async function useEverySecret(): Promise<Record<string, string>> {
    const api: Program['api'] = (...asked) => program.api(...asked)
    const publish = (user: string, password: string, topic?: string) =>
      mosquittoPub(program, { device: user, password }, '[{"n":"water","u":"Cel","v":27}]', topic).status
    const bridge = (await api('POST', '/api/v1/bridges', { name: 'house', topics: ['home/#'] })).body.password
    expect(publish('house', bridge, 'home/shelf')).toBe(0)
    const wrong = 'a guess at a password'
    for (const user of ['house', 'bench-1', 'nobody']) expect(publish(user, wrong)).not.toBe(0)
    const { code } = (await api('POST', '/api/v1/devices/bench-2/code', { fresh: true })).body
    const paired = (await api('POST', '/api/v1/pairing', { code })).body.password
    expect(publish('bench-2', paired)).toBe(0)
    const token = (await api('POST', '/api/v1/tokens', { name: 'pager', role: 'viewer' })).body.token
    for (const sent of [token, `${token}x`])
      await fetch(`${program.http}/api/v1/vessels`, { headers: { authorization: `Bearer ${sent}` } })
    const joined = (await api('POST', '/api/v1/people', { name: 'Ann', role: 'helper' })).body.path.split(
      '#',
    )[1]
    const chosen = 'a password of her own'
    await api('POST', '/api/v1/session/link', { secret: joined, password: chosen })
    await api('POST', '/api/v1/session', { password: wrong })
    const calendar = (await api('POST', '/api/v1/plan/calendar-address')).body.path
    expect((await fetch(`${program.http}${calendar}`)).status).toBe(200)
    const device1 = device.password
    const bare = code.replace('-', '')
    return { bridge, wrong, code, bare, paired, token, joined, chosen, calendar, device1 }
  }

  it('writes no secret and no address to its log', async () => {
    receiver.answer = withStatus(500)
    program = await startProgram(dir, ['--log-level', 'trace'])
    device = program.addDevice('bench-1')
    await settle(1, 1)
    const { body } = await program.api('GET', '/api/v1/notify')
    const mail = {
      host: '127.0.0.1',
      port: 9,
      security: 'none',
      user: 'me',
      password: 'hush-1',
      from: 'a@example.org',
    }
    const address = {
      kind: 'email',
      label: 'mail',
      fromPriority: 'low',
      reminders: true,
      address: 'keeper@example.org',
    }
    const people = [{ ...body.people[0], addresses: [...body.people[0].addresses, address] }]
    await program.api('PUT', '/api/v1/notify', { people, email: mail, webhook: { secret: 'hush-2' } })
    await vessels(1)
    heat(1)
    await until(
      async () => (await program.api('GET', '/api/v1/notify/outbox')).body.deliveries,
      (list: any[]) => list.length === 2 && list.every(each => each.attempts > 0),
    )
    const secrets = await useEverySecret()
    // The log is complete once the program has ended.
    await program.stop()
    for (const [what, secret] of Object.entries(secrets)) {
      expect([what, secret]).toEqual([what, expect.stringMatching(/^.{8,}$/)])
      expect([what, program.log().includes(secret)]).toEqual([what, false])
    }
    expect(program.log()).toContain('a message did not get through')
    expect(program.log()).not.toMatch(/hush-1|hush-2|keeper@example\.org|\/a\/Wy/)
    expect(program.log()).not.toContain(`${receiver.url}/0/0`)
  })
})
