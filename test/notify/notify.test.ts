import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { ChannelReport } from '../../broker/notify/channel-health.ts'
import type { NewSettings } from '../../broker/notify/desk.ts'
import { openNotify, type Notify } from '../../broker/notify/notify.ts'
import { openTestRoom, type Opened } from '../room/opened.ts'
import { failureOf, settle, soon } from './rig/message.ts'
import { startReceiver, withStatus, type Receiver } from './rig/receiver.ts'

const MINUTE = 60_000

describe('a room that calls people', () => {
  let receiver: Receiver
  let opened: Opened
  let notify: Notify
  let reports: ChannelReport[]
  let ids = 0

  async function openOver(room: Opened): Promise<void> {
    opened = room
    notify = await openNotify({
      store: opened.store,
      room: opened.room,
      clock: () => opened.nowMs,
      random: () => 0.5,
      newId: () => `n${ids++}`,
      logger: { info: () => undefined, warn: () => undefined, error: () => undefined },
      ownUrl: () => 'http://192.168.1.20:8080',
      onChannel: report => reports.push(report),
    })
    await notify.start()
  }
  async function restart(): Promise<void> {
    await notify.close()
    await openOver(await opened.reopen())
  }
  const person = (name: string, more: object = {}): NewSettings['people'][number] => ({
    name,
    afterMinutes: 0,
    hours: null,
    criticalAnyHour: true,
    addresses: [
      {
        kind: 'webhook',
        label: 'hook',
        fromPriority: 'low',
        reminders: true,
        address: `${receiver.url}/${name}`,
      },
    ],
    ...more,
  })
  const settings = (...people: NewSettings['people']): NewSettings => ({
    people,
    tellWhenOver: true,
    publicUrl: null,
    email: null,
    webhook: { secret: null },
  })
  /** Puts a hot vessel into the room. */
  async function vessel(): Promise<void> {
    const { row } = await opened.room.createVessel({ name: 'Cone 1', litres: 1 })
    const channels = { water: { device: 'a', channel: 'water' } }
    await opened.room.assignChannels(row.id, { channels, offsets: {} })
    const { settings: now } = opened.room.snapshot()
    const hot = { ...now.rules['water-too-hot'], onDelayMs: 0, offDelayMs: 0 }
    const rules = { ...now.rules, 'water-too-hot': hot }
    for (const other of Object.keys(rules) as (keyof typeof rules)[])
      if (other !== 'water-too-hot') rules[other] = { ...rules[other], enabled: false }
    await opened.room.changeSettings({ ...now, rules })
  }
  async function water(value: number): Promise<void> {
    await opened.send('a', { water: value })
  }
  async function pass(ms: number): Promise<void> {
    opened.nowMs += ms
    notify.tick()
    await settle()
  }
  const told = () => receiver.received.map(({ path, body }) => `${path} ${JSON.parse(body).occasion}`)
  const standing = async () => (await opened.room.alarms({ standing: true, limit: 9 }))[0]!

  beforeEach(async () => {
    reports = []
    receiver = await startReceiver()
    await openOver(await openTestRoom())
    await vessel()
  })
  afterEach(async () => {
    await notify.close()
    await opened.close()
    await receiver.close()
  })

  it('tells at once, then the next, again after a restart nobody, and that it is over those who were told', async () => {
    await notify.desk.change(
      settings(person('one'), person('two', { afterMinutes: 10 }), person('three', { afterMinutes: 99 })),
    )
    await water(31)
    expect(await soon(() => told().length === 1)).toBe(true)
    const first = JSON.parse(receiver.received[0]!.body)
    expect(first.title).toMatch(/^[A-Z][a-z]+ [a-z]+, Cone 1: /)
    expect(first.acknowledgeUrl).toMatch(/^http:\/\/192\.168\.1\.20:8080\/a\/[\w.-]+$/)
    await pass(9 * MINUTE)
    await restart()
    await pass(MINUTE)
    expect(await soon(() => told().length === 2)).toBe(true)
    await restart()
    await pass(MINUTE)
    expect(told()).toEqual(['/one raised', '/two escalated'])
    await water(25)
    expect(await soon(() => told().length === 4)).toBe(true)
    expect(told().slice(2).sort()).toEqual(['/one over', '/two over'])
    await restart()
    await pass(99 * MINUTE)
    expect(told()).toHaveLength(4)
    expect(await opened.store.tellings()).toEqual([])
  })

  it('counts the minutes anew when what was put off is brought back, a restart in between or not', async () => {
    await notify.desk.change(settings(person('one'), person('two', { afterMinutes: 10 })))
    await water(31)
    expect(await soon(() => told().length === 1)).toBe(true)
    const { id } = await standing()
    await opened.room.shelve(id, { by: 'one', forMs: 60 * MINUTE })
    await pass(20 * MINUTE)
    await restart()
    await opened.room.unshelve(id, 'one')
    await pass(1000)
    expect(await soon(() => told().length === 2)).toBe(true)
    await pass(9 * MINUTE)
    expect(told()).toEqual(['/one raised', '/one again'])
    await pass(MINUTE)
    expect(await soon(() => told().length === 3)).toBe(true)
    expect(told()[2]).toBe('/two escalated')
  })

  it('acknowledges in the name of whom the link was sent to, and then calls nobody else', async () => {
    await notify.desk.change(settings(person('one'), person('two', { afterMinutes: 10 })))
    await water(31)
    expect(await soon(() => told().length === 1)).toBe(true)
    const token = JSON.parse(receiver.received[0]!.body).acknowledgeUrl.split('/a/')[1]
    expect(await notify.desk.openLink(token)).toMatchObject({ where: 'Cone 1', person: 'one' })
    expect((await standing()).state).toBe('unacknowledged')
    expect(await notify.desk.answerLink('made-up')).toBe(false)
    expect(await notify.desk.answerLink(token)).toBe(true)
    expect(await standing()).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'one' })
    await pass(60 * MINUTE)
    expect(told()).toEqual(['/one raised'])
    opened.nowMs += 7 * 86_400_000
    expect(await notify.desk.openLink(token)).toBeNull()
  })

  it('answers once: who comes later, or after a restart, is told who did and changes nothing', async () => {
    await notify.desk.change(settings(person('one'), person('two')))
    await water(31)
    expect(await soon(() => told().length === 2)).toBe(true)
    const links = new Map(
      receiver.received.map(({ path, body }) => [
        path,
        JSON.parse(body).acknowledgeUrl.split('/a/')[1] as string,
      ]),
    )
    await Promise.all([
      notify.desk.answerLink(links.get('/one')!),
      notify.desk.answerLink(links.get('/two')!),
    ])
    const first = await standing()
    expect(first).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'one' })
    await restart()
    opened.nowMs += 5 * MINUTE
    expect(await notify.desk.answerLink(links.get('/two')!)).toBe(true)
    const { acknowledgedBy, acknowledgedAtMs } = first
    expect(await standing()).toMatchObject({ acknowledgedBy, acknowledgedAtMs })
    await water(25)
    const { alarm } = (await notify.desk.openLink(links.get('/two')!))!
    expect(alarm).toMatchObject({ state: 'normal', acknowledgedBy, acknowledgedAtMs })
  })

  it('keeps trying through a restart, says so, and reports the channel', async () => {
    receiver.answer = withStatus(500)
    await notify.desk.change(settings(person('one')))
    await water(31)
    expect(await soon(() => told().length === 1)).toBe(true)
    await pass(5000)
    await restart()
    for (let n = 0; n < 8; n++) await pass(30_000)
    expect(reports.at(-1)).toMatchObject({ kind: 'webhook', failing: true })
    const [shown] = await notify.desk.recent(5)
    expect(shown).toMatchObject({
      state: 'waiting',
      person: 'one',
      error: 'The receiver answered with status 500',
    })
    receiver.answer = withStatus(200)
    await pass(5 * MINUTE)
    expect(reports.at(-1)).toMatchObject({ kind: 'webhook', failing: false })
    expect(new Set(receiver.received.map(({ key }) => key)).size).toBe(1)
    expect((await notify.desk.recent(5))[0]).toMatchObject({ state: 'delivered' })
  })

  it('calls the next at once when the first is refused for good', async () => {
    receiver.answer = (received, response) => {
      response.statusCode = received.path === '/one' ? 401 : 200
      response.end()
    }
    await notify.desk.change(settings(person('one'), person('two', { afterMinutes: 10 })))
    await water(31)
    expect(await soon(() => told().length === 2)).toBe(true)
    expect(told()).toEqual(['/one raised', '/two raised'])
    await restart()
    await pass(11 * MINUTE)
    expect(told()).toHaveLength(2)
  })

  it('tells nobody that it is over who never heard of it', async () => {
    await notify.desk.change(
      settings(person('one', { hours: { from: '00:00', to: '00:01', zone: 'UTC' }, criticalAnyHour: false })),
    )
    await water(31)
    await pass(MINUTE)
    await water(25)
    await pass(MINUTE)
    expect(told()).toEqual([])
  })

  it('never tells a secret again, and keeps what was left out', async () => {
    const email = {
      host: 'mail.example.org',
      port: 465,
      security: 'tls',
      user: 'me',
      from: 'a@example.org',
    } as const
    const sent = {
      ...settings(person('one')),
      email: { ...email, password: 'pass-1' },
      webhook: { secret: 'sign-1' },
    }
    const shown = await notify.desk.change(sent)
    expect(JSON.stringify(shown)).not.toMatch(/pass-1|sign-1/)
    expect(shown).toMatchObject({ email: { hasPassword: true }, webhook: { hasSecret: true } })
    const again = await notify.desk.change({
      ...settings(...(shown.people as NewSettings['people'])),
      email,
      webhook: {},
    })
    expect(again).toMatchObject({
      email: { hasPassword: true },
      webhook: { hasSecret: true },
      people: shown.people,
    })
    expect((await opened.store.document('notify'))!).toContain('sign-1')
    const without = await notify.desk.change({
      ...settings(),
      email: { ...email, password: null },
      webhook: { secret: null },
    })
    expect(without).toMatchObject({ email: { hasPassword: false }, webhook: { hasSecret: false } })
  })

  it.each([
    [{ hours: { from: '07:00', to: '22:00', zone: 'Mars/Base' } }, 'people.0.hours.zone'],
    [
      {
        addresses: [{ kind: 'email', label: '', fromPriority: 'low', reminders: true, address: 'a@b, c@d' }],
      },
      'people.0.addresses.0.address',
    ],
    [
      {
        addresses: [
          {
            kind: 'webhook',
            label: '',
            fromPriority: 'low',
            reminders: true,
            address: 'http://169.254.1.1/',
          },
        ],
      },
      'people.0.addresses.0.address',
    ],
  ])('refuses what cannot work: %#', async (more, field) => {
    const error = await failureOf(notify.desk.change(settings(person('one', more))))
    expect(error).toMatchObject({ kind: 'invalid', field })
  })

  it('tests an address at once, in words, and shows it among the recent ones', async () => {
    const { people } = await notify.desk.change(settings(person('one')))
    const [{ id, addresses }] = people as [any]
    expect(await notify.desk.test(id, addresses[0].id)).toEqual({
      arrived: true,
      words: 'The receiver took the message.',
    })
    expect(told()).toEqual(['/one test'])
    receiver.answer = withStatus(500)
    expect(await notify.desk.test(id, addresses[0].id)).toEqual({
      arrived: false,
      words: 'The receiver answered with status 500',
    })
    expect((await notify.desk.recent(5)).map(({ state, occasion }) => [state, occasion])).toEqual([
      ['failed', 'test'],
      ['delivered', 'test'],
    ])
    expect(await failureOf(notify.desk.test('nobody', 'x'))).toMatchObject({ kind: 'not-found' })
  })

  it('takes an address out that the receiver says is gone', async () => {
    receiver.answer = withStatus(410)
    await notify.desk.change(settings(person('one')))
    await water(31)
    expect(await soon(() => notify.desk.settings().people[0]!.addresses.length === 0)).toBe(true)
  })
})
