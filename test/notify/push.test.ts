import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { NewSettings } from '../../broker/notify/desk.ts'
import { openNotify, type Notify } from '../../broker/notify/notify.ts'
import { openPush } from '../../broker/notify/push.ts'
import type { PushDesk } from '../../broker/notify/push-desk.ts'
import { RoomError } from '../../broker/room/contract.ts'
import { openTestRoom, type Opened } from '../room/opened.ts'
import { settle } from './rig/message.ts'
import { checkVapid, startPushService, type Browser, type PushService } from './push-service.ts'

/** A room, whatever calls people over it, and phones that ring: from the reading to what the phone shows. */
describe('a room that calls phones', () => {
  let service: PushService
  let opened: Opened
  let notify: Notify
  let phones: PushDesk
  let browser: Browser
  let logged: string[]
  let ids = 0

  async function openOver(room: Opened): Promise<void> {
    opened = room
    const logger = {
      info: (...line: unknown[]) => void logged.push(JSON.stringify(line)),
      warn: (...line: unknown[]) => void logged.push(JSON.stringify(line)),
      error: (...line: unknown[]) => void logged.push(JSON.stringify(line)),
    }
    const clock = () => opened.nowMs
    const { store } = opened
    const push = await openPush({ store, room: opened.room, clock, logger, rules: { plainLoopback: true } })
    notify = await openNotify({
      store,
      room: opened.room,
      clock,
      random: () => 0.5,
      newId: () => `n${ids++}`,
      logger,
      ownUrl: () => 'http://192.168.1.20:8080',
      channels: [push.channel],
      onChannel: () => undefined,
    })
    phones = push.deskOver(notify.desk)
    await notify.start()
  }
  beforeEach(async () => {
    logged = []
    service = await startPushService()
    browser = service.browser()
    await openOver(await openTestRoom())
  })
  afterEach(async () => {
    await notify.close()
    await opened.close()
    await service.close()
  })

  const add = (person = 'Kim', name = 'my phone', { subscription } = browser) =>
    phones.add({ person, name, subscription })

  async function hotVessel(): Promise<string> {
    const { row } = await opened.room.createVessel({ name: 'Left cone', litres: 1 })
    await opened.room.assignChannels(row.id, {
      channels: { water: { device: 'a', channel: 'water' } },
      offsets: {},
    })
    const { settings } = opened.room.snapshot()
    const hot = { ...settings.rules['water-too-hot'], onDelayMs: 0, offDelayMs: 0 }
    await opened.room.changeSettings({ ...settings, rules: { ...settings.rules, 'water-too-hot': hot } })
    return row.id
  }
  async function pass(ms: number): Promise<void> {
    opened.nowMs += ms
    notify.tick()
  }
  const heard = (which = browser) =>
    service.pushed
      .filter(({ path }) => which.subscription.endpoint.endsWith(path))
      .map(each => JSON.parse(which.open(each)) as Record<string, string>)
  const soon = (passes: () => boolean | Promise<boolean>) =>
    expect.poll(passes, { timeout: 20_000, interval: 5 }).toBe(true)

  it('rings within a second of the reading, and is answered from the phone', async () => {
    await add()
    const vesselId = await hotVessel()
    const from = performance.now()
    await opened.send('a', { water: 30.5 })
    await soon(() => heard().length === 1)
    expect(performance.now() - from).toBeLessThan(1000)
    const [call] = heard()
    expect(call).toMatchObject({ occasion: 'raised', priority: 'critical', openPath: `/vessel/${vesselId}` })
    expect(call!.title).toContain('Left cone')
    const token = /^\/a\/(.+)$/.exec(call!.acknowledgePath!)![1]!
    expect(await notify.desk.answerLink(token)).toBe(true)
    const [alarm] = await opened.room.alarms({ standing: true, limit: 9 })
    expect(alarm).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Kim' })
  })

  it('tells the push service whom to write to: as set, else where the dashboard is in public, else nobody', async () => {
    const phone = await add()
    const subject = async () => {
      await phones.test(phone.id)
      return checkVapid(service.pushed.at(-1)!.headers.authorization).claims.sub
    }
    const set = (more: Partial<NewSettings>) => {
      const { people, tellWhenOver } = notify.desk.settings()
      const kept = people.map(person => ({
        ...person,
        addresses: person.addresses.map(({ address: _, ...rest }) => rest),
      }))
      return notify.desk.change({
        people: kept,
        tellWhenOver,
        publicUrl: null,
        email: null,
        webhook: {},
        ...more,
      })
    }
    expect(await subject()).toBe('mailto:nobody@brinewatch.example')
    await set({ publicUrl: 'https://hatch.example' })
    expect(await subject()).toBe('https://hatch.example')
    expect((await set({ push: { contact: ' keeper@example.org ' } })).push.contact).toBe(
      'mailto:keeper@example.org',
    )
    expect(await subject()).toBe('mailto:keeper@example.org')
    // Left out it stays.
    await set({})
    expect(await subject()).toBe('mailto:keeper@example.org')
    for (const contact of ['keeper', 'http://hatch.example', 'mailto:', 'a@b, c@d', 'javascript:alert(1)'])
      await expect(set({ push: { contact } })).rejects.toMatchObject({
        kind: 'invalid',
        field: 'push.contact',
      })
    expect((await set({ push: { contact: '' } })).push.contact).toBeNull()
  })

  it('says on the same notice that it is over', async () => {
    await add()
    await hotVessel()
    await opened.send('a', { water: 30.5 })
    await soon(() => heard().length === 1)
    opened.nowMs += 1000
    await opened.send('a', { water: 27 })
    await pass(1000)
    await soon(() => heard().length === 2)
    const [raised, over] = heard()
    expect(over).toMatchObject({ occasion: 'over', alarmId: raised!.alarmId, acknowledgePath: null })
    expect(service.pushed[0]!.headers.topic).toBe(service.pushed[1]!.headers.topic)
  })

  it('waits as it is asked to, and then rings', async () => {
    await add()
    await hotVessel()
    service.answer = { status: 429, headers: { 'retry-after': '120' } }
    await opened.send('a', { water: 30.5 })
    await soon(() => service.pushed.length === 1)
    await pass(119_000)
    await settle()
    expect(service.pushed).toHaveLength(1)
    service.answer = { status: 201 }
    // The outbox may spread its tries by some chance of its own.
    await pass(60_000)
    await soon(() => service.pushed.length === 2)
    expect(heard().map(({ occasion }) => occasion)).toContain('raised')
  })

  it('drops a phone that is gone, says so, and knows it again when it is back', async () => {
    const added = await add()
    await hotVessel()
    service.answer = { status: 410 }
    await opened.send('a', { water: 30.5 })
    await soon(async () => (await phones.look()).phones.length === 0)
    await soon(async () => (await phones.look()).lost.length === 1)
    expect((await phones.look()).lost).toEqual([{ name: 'my phone', person: 'Kim', atMs: opened.nowMs }])
    expect(logged.some(line => line.includes('takes no more calls'))).toBe(true)
    service.answer = { status: 201 }
    expect((await add()).id).toBe(added.id)
    expect(await phones.look()).toMatchObject({ lost: [], phones: [{ name: 'my phone', person: 'Kim' }] })
  })

  it('tries a phone out, and drops it if it says that it is gone', async () => {
    const { id } = await add()
    expect(await phones.test(id)).toMatchObject({ arrived: true })
    expect(heard()).toMatchObject([{ about: 'test', acknowledgePath: null, openPath: '/' }])
    service.answer = { status: 404 }
    const { arrived, words } = await phones.test(id)
    expect(arrived).toBe(false)
    expect(words).toMatch(/add the phone again/)
    expect(await phones.look()).toMatchObject({ phones: [], lost: [{ name: 'my phone' }] })
    await expect(phones.test(id)).rejects.toThrow(/Cannot find phone/)
  })

  it('keeps one row for each phone, whatever it is renamed to and whoever has it', async () => {
    const { id } = await add()
    await add('kim', 'night phone')
    expect((await phones.look()).phones).toMatchObject([{ id, name: 'night phone', person: 'Kim' }])
    await add('Alex', 'night phone')
    const look = await phones.look()
    expect(look.phones).toMatchObject([{ id, name: 'night phone', person: 'Alex' }])
    expect(look.people.map(({ name }) => name)).toEqual(['Kim', 'Alex'])
    // The browser renewed its keys at the same address.
    const renewed = { ...browser.subscription, keys: service.browser().subscription.keys }
    await add('Alex', 'night phone', { ...browser, subscription: renewed })
    expect((await phones.look()).phones).toHaveLength(1)
  })

  it('leaves what is set of people and their other addresses as it was', async () => {
    const before: NewSettings = {
      people: [
        {
          name: 'Kim',
          afterMinutes: 7,
          hours: { from: '08:00', to: '20:00', zone: 'Europe/Vienna' },
          criticalAnyHour: false,
          addresses: [
            {
              kind: 'email',
              address: 'kim@hatch.example',
              label: 'mail',
              fromPriority: 'high',
              reminders: false,
            },
          ],
        },
      ],
      tellWhenOver: false,
      publicUrl: 'https://hatch.example',
      email: {
        host: 'mail.example',
        port: 587,
        security: 'starttls',
        user: 'u',
        password: 'p',
        from: 'a@b.example',
      },
      webhook: { secret: 'whispered' },
    }
    await notify.desk.change(before)
    const { people, ...shown } = notify.desk.settings()
    await add('Alex')
    await add('Kim', 'second', service.browser())
    const { people: after, ...shownAfter } = notify.desk.settings()
    expect(shownAfter).toEqual(shown)
    expect(after[0]).toMatchObject({ ...people[0], addresses: [people[0]!.addresses[0], { kind: 'push' }] })
    expect(shownAfter).toMatchObject({ email: { hasPassword: true }, webhook: { hasSecret: true } })
  })

  it('refuses an address that no push service has', async () => {
    const endpoint = 'https://192.168.1.1/setup'
    const refused = add('Kim', 'x', { ...browser, subscription: { ...browser.subscription, endpoint } })
    await expect(refused).rejects.toMatchObject({ kind: 'invalid', field: 'subscription' })
    await expect(refused).rejects.toBeInstanceOf(RoomError)
    expect((await phones.look()).people).toEqual([])
  })

  it('does not lose one of two phones that are added at once', async () => {
    await Promise.all([
      add('Kim', 'one'),
      add('Kim', 'two', service.browser()),
      add('Alex', 'three', service.browser()),
    ])
    const look = await phones.look()
    expect(look.phones.map(({ name }) => name).sort()).toEqual(['one', 'three', 'two'])
    expect(look.people).toHaveLength(2)
  })

  it('has the same key after a restart, and still rings', async () => {
    await add()
    const { publicKey } = await phones.look()
    await notify.close()
    await openOver(await opened.reopen())
    expect((await phones.look()).publicKey).toBe(publicKey)
    await hotVessel()
    await opened.send('a', { water: 30.5 })
    await soon(() => heard().length === 1)
  })

  it('never logs a key or an address', async () => {
    const { id } = await add()
    service.answer = { status: 500, text: 'oh' }
    await phones.test(id)
    service.answer = { status: 410 }
    await phones.test(id)
    const said =
      logged.join('\n') + JSON.stringify(await phones.look()) + JSON.stringify(notify.desk.settings())
    const keys = JSON.parse((await opened.store.document('push-keys'))!) as { privateKey: string }
    for (const secret of [
      keys.privateKey,
      browser.subscription.keys.auth,
      new URL(browser.subscription.endpoint).pathname,
    ])
      expect(said).not.toContain(secret)
  })
})
