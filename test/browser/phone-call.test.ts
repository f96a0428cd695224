import { createECDH } from 'node:crypto'
import type { Worker } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { startReceiver } from '../notify/rig/receiver.ts'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from '../system/program.ts'
import { runningRegistration, usePhone } from './rig/phone.ts'

const phone = usePhone()

describe('a call on the phone', () => {
  const dir = freshDir()
  let program: Program
  let worker: Worker

  beforeAll(async () => {
    program = await startProgram(dir)
  })
  afterAll(async () => {
    await program.stop()
    removeDir(dir)
  })
  beforeEach(async () => {
    await phone.context.grantPermissions(['notifications'], { origin: program.http })
    worker = await phone.open(program.http)
    // The worker's process hears of the permission a little later.
    await until(
      () => worker.evaluate(() => (globalThis as any).Notification.permission as string),
      permission => permission === 'granted',
    )
  })

  /**
   * As the browser does when its push service has something: once it knows the worker as one that runs. Returns when the worker has
   * taken it, so that what is looked at afterwards is what came of it.
   */
  async function deliver(data: string): Promise<void> {
    await worker.evaluate(() => {
      const scope = globalThis as any
      scope.taken = new Promise<void>(resolve =>
        scope.addEventListener('push', () => resolve(), { once: true }),
      )
    })
    const session = await phone.context.newCDPSession(phone.page)
    const registrationId = await runningRegistration(session, `${program.http}/`)
    await session.send('ServiceWorker.deliverPushMessage', { origin: program.http, registrationId, data })
    await worker.evaluate(() => (globalThis as any).taken)
    await session.detach()
  }

  /** The browser may hear of the permission later than its worker: a message of which it showed nothing for that is delivered once more. */
  async function push(data: string): Promise<void> {
    await deliver(data)
    const there = await until(notices, each => each.length > 0, 5000)
    if (there.length === 0) await deliver(data)
  }
  const call = (over: object = {}) =>
    JSON.stringify({
      about: 'alarm',
      occasion: 'raised',
      priority: 'critical',
      title: 'Move the lamp away: Left cone',
      text: 'Water 29.9 °C (85.8 °F).',
      alarmId: 'a1',
      acknowledgePath: '/a/some-token',
      openPath: '/settings',
      sentAtMs: 1_767_225_600_000,
      ...over,
    })
  const notices = () =>
    phone.page.evaluate(async () =>
      (await (await navigator.serviceWorker.ready).getNotifications()).map(each => ({
        title: each.title,
        body: each.body,
        tag: each.tag,
        staysUp: each.requireInteraction,
        renotify: (each as any).renotify,
        silent: each.silent,
        vibrate: (each as any).vibrate,
        actions: (each as any).actions.map((action: any) => action.title),
      })),
    )
  const shown = (count: number) => until(notices, each => each.length === count)

  /** A tap on the notice, or on its button: the driver has no finger for it. */
  const tap = (action: string) =>
    until(
      () =>
        worker.evaluate(async (action: string) => {
          const scope = globalThis as any
          const [notification] = await scope.registration.getNotifications()
          // What the page sees of its notices and what the worker sees of them are told to each on its own.
          if (!notification) return false
          scope.dispatchEvent(new scope.NotificationEvent('notificationclick', { notification, action }))
          return true
        }, action),
      tapped => tapped,
    )

  it('shows what to do, stays up, shakes, and has a button to acknowledge', async () => {
    await push(call())
    expect(await shown(1)).toEqual([
      {
        title: 'Move the lamp away: Left cone',
        body: 'Water 29.9 °C (85.8 °F).',
        tag: 'alarm-a1',
        staysUp: true,
        renotify: true,
        silent: false,
        vibrate: expect.arrayContaining([expect.any(Number)]),
        actions: ['Acknowledge'],
      },
    ])
  })

  it('takes the place of the last one about the same alarm, and of no other', async () => {
    await push(call())
    await push(call({ occasion: 'again', title: 'Still: move the lamp away' }))
    await push(call({ alarmId: 'a2' }))
    const titles = (await shown(2)).map(({ title }) => title)
    expect(titles.sort()).toEqual(['Move the lamp away: Left cone', 'Still: move the lamp away'])
  })

  it('is quiet when it says that it is over', async () => {
    await push(call())
    await push(call({ occasion: 'over', acknowledgePath: null, title: 'Over: Left cone' }))
    await until(notices, ([first]) => first?.title === 'Over: Left cone')
    expect(await notices()).toMatchObject([{ silent: true, staysUp: false, renotify: false, actions: [] }])
  })

  it('acknowledges by its button, on the origin that the phone knows', async () => {
    await push(call())
    await shown(1)
    const posted = new Promise<string>(resolve =>
      phone.context.on('request', request => {
        if (request.method() === 'POST') resolve(new URL(request.url()).pathname)
      }),
    )
    await tap('acknowledge')
    expect(await posted).toBe('/a/some-token')
    // This token is nobody's, so the broker refuses: that must not pass for an acknowledgement.
    const [notice] = await until(notices, ([first]) => /^Not acknowledged/.test(first?.title ?? ''))
    expect(notice).toMatchObject({ tag: 'alarm-a1', staysUp: true, silent: false, actions: ['Acknowledge'] })
  })

  it('is answered for good by its button: the alarm is acknowledged in the name of who was called', async () => {
    const receiver = await startReceiver()
    const device = program.addDevice('bench-1')
    const hot = () => mosquittoPub(program, device, '[{"n":"water","u":"Cel","v":31}]')
    hot()
    const { body: settings } = await program.api('GET', '/api/v1/settings')
    settings.rules['water-too-hot'].onDelayS = 0
    await program.api('PUT', '/api/v1/settings', settings)
    const { id } = (await program.api('POST', '/api/v1/vessels', { name: 'Left cone', litres: 2 })).body
    await program.api('PUT', `/api/v1/vessels/${id}/channels`, { water: 'bench-1/water' })
    const hook = {
      kind: 'webhook',
      label: 'hook',
      fromPriority: 'low',
      reminders: false,
      address: receiver.url,
    }
    const kim = { name: 'Kim', afterMinutes: 0, hours: null, criticalAnyHour: true, addresses: [hook] }
    const people = { people: [kim], tellWhenOver: true, publicUrl: null, email: null, webhook: {} }
    expect((await program.api('PUT', '/api/v1/notify', people)).status).toBe(200)
    hot()
    await until(
      async () => receiver.received.length,
      count => count > 0,
    )
    await receiver.close()
    const told = JSON.parse(receiver.received[0]!.body) as {
      acknowledgeUrl: string
      alarmId: string
    }

    await push(call({ alarmId: told.alarmId, acknowledgePath: new URL(told.acknowledgeUrl).pathname }))
    await shown(1)
    await tap('acknowledge')
    const standing = await until(
      async () => (await program.api('GET', '/api/v1/alarms')).body.alarms[0],
      alarm => alarm?.state === 'acknowledged',
    )
    expect(standing).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Kim' })
    expect(await notices()).toEqual([])
  })

  it.each(['not json', '{}', '[1]', '""'])(
    'is a call to look even when it cannot be read: %s',
    async data => {
      await push(data)
      expect(await shown(1)).toMatchObject([{ title: 'Look at the fish room', silent: false }])
    },
  )
})

describe('"Call me on this phone"', () => {
  const dir = freshDir()
  let program: Program
  beforeAll(async () => {
    program = await startProgram(dir)
  })
  afterAll(async () => {
    await program.stop()
    removeDir(dir)
  })

  it('adds this browser, knows it again, and takes it back', async () => {
    const p256dh = createECDH('prime256v1').generateKeys('base64url')
    // The browser's own push service is on the internet: in its place stands one that gives an address.
    await phone.context.addInitScript((key: string) => {
      let made: object | null = null
      const endpoint = 'https://push.example/v1/this-phone'
      const keys = { p256dh: key, auth: 'BTBZMqHH6r4Tts7J_aSIgg' }
      PushManager.prototype.getSubscription = async () => made as never
      PushManager.prototype.subscribe = async options => {
        if (new Uint8Array(options!.applicationServerKey as ArrayBuffer).length !== 65)
          throw new Error('bad key')
        made = {
          endpoint,
          options,
          toJSON: () => ({ endpoint, expirationTime: null, keys }),
          unsubscribe: async () => ((made = null), true),
        }
        return made as never
      }
    }, p256dh)
    await phone.context.grantPermissions(['notifications'], { origin: program.http })
    await phone.open(`${program.http}/settings`)
    await phone.page.getByLabel('Whose phone').fill('Kim')
    await phone.page.getByLabel("This phone's name").fill('night phone')
    await phone.page.getByRole('button', { name: 'Call me on this phone' }).click()
    await phone.page.getByText('night phone (this one)').waitFor()
    await phone.page.locator('bw-who-is-called').getByText('night phone').first().waitFor()
    expect(await phone.page.getByRole('button', { name: 'Call me on this phone' }).count()).toBe(0)

    const { body } = await program.api('GET', '/api/v1/notify')
    expect(body.people).toMatchObject([
      { name: 'Kim', addresses: [{ kind: 'push', label: 'night phone', address: null }] },
    ])
    await phone.page.getByRole('button', { name: 'Call night phone no more' }).click()
    await phone.page.getByRole('button', { name: 'Call me on this phone' }).waitFor()
    expect((await program.api('GET', '/api/v1/push')).body.phones).toEqual([])
    expect(phone.complaints).toEqual([])
  })

  it('says where it is not to be had, and what to do instead', async () => {
    await phone.context.addInitScript(() => {
      Object.defineProperty(globalThis, 'isSecureContext', { value: false })
      delete (Navigator.prototype as any).serviceWorker
    })
    await phone.page.goto(`${program.http}/settings`)
    await phone.page.getByText(/not encrypted.*https:\/\/.*e-mail or webhook/).waitFor()
    expect(await phone.page.getByRole('button', { name: 'Call me on this phone' }).count()).toBe(0)
    expect(phone.complaints).toEqual([])
  })

  it('says what was refused', async () => {
    await phone.context.addInitScript(() => {
      Object.defineProperty(Notification, 'permission', { get: () => 'denied' })
    })
    await phone.page.goto(`${program.http}/settings`)
    await phone.page.getByText(/told not to show notices/).waitFor()
  })
})
