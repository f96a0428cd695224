import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openNotify, type Notify } from '../../broker/notify/notify.ts'
import { openTestRoom, type Opened } from '../room/opened.ts'
import { settle, soon } from './rig/message.ts'
import { startReceiver, type Receiver } from './rig/receiver.ts'

const MINUTE = 60_000

describe('a room that reminds people', () => {
  let receiver: Receiver
  let opened: Opened
  let notify: Notify

  async function openOver(room: Opened): Promise<void> {
    opened = room
    const quiet = () => undefined
    notify = await openNotify({
      store: opened.store,
      room: opened.room,
      clock: () => opened.nowMs,
      random: () => 0.5,
      newId: (() => {
        let ids = 0
        return () => `n${ids++}`
      })(),
      logger: { info: quiet, warn: quiet, error: quiet },
      ownUrl: () => 'http://192.168.1.20:8080',
      onChannel: quiet,
    })
    await notify.start()
  }
  beforeEach(async () => {
    receiver = await startReceiver()
    await openOver(await openTestRoom())
  })
  afterEach(async () => {
    await notify.close()
    await opened.close()
    await receiver.close()
  })
  async function restart(): Promise<void> {
    await notify.close()
    await openOver(await opened.reopen())
  }
  /** Lets these people be told of all, each at an address that has their name; `null`: at any hour. */
  async function tell(people: Record<string, { from: string; to: string; zone: string } | null>) {
    await notify.desk.change({
      people: Object.entries(people).map(([name, hours]) => ({
        name,
        afterMinutes: 0,
        hours,
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
      })),
      tellWhenOver: true,
      publicUrl: null,
      email: null,
      webhook: { secret: null },
    })
  }
  /** Batches whose ring is to be knocked down in so many minutes from now. */
  async function ringsIn(minutes: number, ...names: string[]): Promise<void> {
    for (const name of names) {
      const { row } = await opened.room.createVessel({ name, litres: 1 })
      const startedAtMs = opened.nowMs + (minutes - 240) * MINUTE
      await opened.room.startBatch({ vesselId: row.id, litres: 1, cystsG: 2, salinityGpl: 25, startedAtMs })
    }
  }
  async function pass(ms: number): Promise<void> {
    opened.nowMs += ms
    opened.tick()
    notify.tick()
    await settle()
  }
  /** Makes the water of a vessel too hot, of which somebody is called at once. */
  async function overheat(name: string): Promise<void> {
    const { row } = opened.room.snapshot().vessels.find(each => each.row.name === name)!
    await opened.room.assignChannels(row.id, {
      channels: { water: { device: 'a', channel: 'water' } },
      offsets: {},
    })
    const { settings } = opened.room.snapshot()
    const hot = { ...settings.rules['water-too-hot'], onDelayMs: 0 }
    const silent = { ...settings.rules['device-silent'], enabled: false }
    const rules = { ...settings.rules, 'water-too-hot': hot, 'device-silent': silent }
    await opened.room.changeSettings({ ...settings, rules })
    await opened.send('a', { water: 31 })
  }
  const bodies = () => receiver.received.map(({ body }) => JSON.parse(body))
  const told = () => receiver.received.map(({ path, body }) => `${path} ${JSON.parse(body).occasion}`)

  it('tells each once, where it was chosen and within the hours, restart or not', async () => {
    await ringsIn(0, 'Before')
    await pass(1000)
    await tell({ one: null, two: { from: '13:00', to: '22:00', zone: 'UTC' } })
    await ringsIn(1, 'Jar')
    await pass(MINUTE)
    await pass(MINUTE)
    expect(await soon(() => told().length === 1)).toBe(true)
    await restart()
    // What was due before anybody asked for reminders is no news after a start either.
    await pass(1000)
    await pass(60 * MINUTE)
    expect(await soon(() => told().length === 2)).toBe(true)
    await pass(60 * MINUTE)
    expect(told()).toEqual(['/one reminder', '/two reminder'])
    expect(bodies()[0]).toMatchObject({
      id: expect.stringMatching(/\.knock-down\./),
      title: 'Knock the ring down in Jar',
      openUrl: expect.stringMatching(/^http:\/\/192\.168\.1\.20:8080\/vessel\/./),
    })
  })

  it('gathers what falls due together into one message, and never an alarm', async () => {
    await tell({ one: null })
    const jars = Array.from({ length: 12 }, (_, at) => `Jar ${at + 1}`)
    await ringsIn(1, ...jars)
    await pass(MINUTE)
    await pass(MINUTE)
    expect(await soon(() => told().length === 1)).toBe(true)
    expect(opened.room.snapshot().reminders).toHaveLength(12)
    const [{ title, text, openUrl }] = bodies()
    expect(title).toMatch(/^12 things to do: Knock the ring down in Jar 1, Knock/)
    for (const name of jars) expect(text.split('\n')).toContain(`Knock the ring down in ${name}`)
    expect(text.match(/Wash them back down/g)).toHaveLength(1)
    expect(openUrl).toBe('http://192.168.1.20:8080/')

    // What falls due soon after waits for its turn, and for what joins it; what calls does not.
    await ringsIn(1, 'Late 1')
    await ringsIn(3, 'Late 2')
    for (let minute = 0; minute < 5; minute++) await pass(MINUTE)
    await overheat('Jar 1')
    expect(await soon(() => told().length === 2)).toBe(true)
    await restart()
    for (let minute = 5; minute < 14; minute++) await pass(MINUTE)
    expect(told()).toEqual(['/one reminder', '/one raised'])
    await pass(2 * MINUTE)
    expect(await soon(() => told().length === 3)).toBe(true)
    const reminders = () => bodies().filter(({ about }) => about === 'reminder')
    expect(reminders()[1].title).toBe(
      '2 things to do: Knock the ring down in Late 1, Knock the ring down in Late 2',
    )
    await pass(60 * MINUTE)
    expect(reminders()).toHaveLength(2)
  })
})
