import { startMail } from '../notify/rig/mail.ts'
import { startReceiver } from '../notify/rig/receiver.ts'
import { percentiles } from './numbers.ts'
import { startLoad } from './rig/load.ts'
import { PackKind } from './rig/packs.ts'
import { Prober } from './rig/prober.ts'
import { wait } from './rig/process.ts'
import { openRoom, type Room } from './rig/room.ts'
import type { Subject } from './subject.ts'

const LOADING = 100
const READINGS_PER_S = 1000
const HOT_C = 36
const WELL_C = 27
const BAR_MS = 1000

/** From the publish of a reading above the limit to the person's receiver and mail server, while other devices send. */
export const told: Subject = {
  name: 'told',
  async measure(settings) {
    const room = await openRoom(LOADING + 1, settings)
    const receiver = await startReceiver()
    const mail = await startMail()
    await callAtOnce(room, receiver.url, mail.port)
    const { mqttHost: host, mqttPort: port } = room.program
    const prober = await Prober.open(host, port, room.devices[LOADING]!)
    const load = startLoad({
      host,
      port,
      devices: room.devices.slice(0, LOADING),
      boot: 'crowd',
      pack: PackKind.one,
      pace: { packsPerSecond: READINGS_PER_S },
      warmUpS: 2,
      seconds: 3600,
    })
    await load.warm

    const byWebhook: number[] = []
    const byMail: number[] = []
    const probes = settings.quick ? 20 : 200
    for (let probe = 1; probe <= probes; probe++) {
      const from = performance.now()
      await prober.send(HOT_C)
      while (receiver.received.length < probe || mail.mails.length < probe) {
        if (performance.now() - from > 10_000) throw new Error('Nobody was told within 10 s')
        await wait(2)
      }
      byWebhook.push(receiver.received[probe - 1]!.takenAt - from)
      byMail.push(mail.mails[probe - 1]!.takenAt - from)
      const { alarmId } = JSON.parse(receiver.received[probe - 1]!.body) as { alarmId: string }
      await room.ask('POST', `/api/v1/alarms/${alarmId}/acknowledge`, {})
      await prober.send(WELL_C)
      await over(room, alarmId)
    }
    load.stop()
    const { packsPerSecond } = await load.result
    prober.close()
    await room.close()
    await receiver.close()
    await mail.close()
    const note = `${probes} alarms; load ${Math.round(packsPerSecond)} readings/s`
    return [
      {
        name: 'reading to webhook, p99',
        value: percentiles(byWebhook).p99,
        unit: 'ms',
        bar: { below: BAR_MS },
        note,
      },
      { name: '  p50', value: percentiles(byWebhook).p50, unit: 'ms' },
      { name: '  greatest', value: percentiles(byWebhook).max, unit: 'ms' },
      {
        name: 'reading to mail server, p99',
        value: percentiles(byMail).p99,
        unit: 'ms',
        bar: { below: BAR_MS },
      },
      { name: '  p50', value: percentiles(byMail).p50, unit: 'ms' },
      { name: '  greatest', value: percentiles(byMail).max, unit: 'ms' },
    ]
  },
}

async function callAtOnce(room: Room, webhook: string, mailPort: number): Promise<void> {
  const settings = await room.ask('GET', '/api/v1/settings')
  for (const name of Object.keys(settings.rules)) settings.rules[name].enabled = name === 'water-too-hot'
  Object.assign(settings.rules['water-too-hot'], { onDelayS: 0, offDelayS: 0, priority: 'critical' })
  await room.ask('PUT', '/api/v1/settings', settings)
  const way = { label: '', fromPriority: 'low', reminders: false }
  await room.ask('PUT', '/api/v1/notify', {
    people: [
      {
        name: 'The keeper',
        afterMinutes: 0,
        hours: null,
        criticalAnyHour: true,
        addresses: [
          { ...way, kind: 'webhook', address: webhook },
          { ...way, kind: 'email', address: 'keeper@example.org' },
        ],
      },
    ],
    tellWhenOver: false,
    email: { host: '127.0.0.1', port: mailPort, security: 'none', user: null, from: 'room@example.org' },
    webhook: { secret: 'signed as in earnest' },
  })
}

async function over(room: Room, alarmId: string): Promise<void> {
  for (let tries = 0; tries < 1000; tries++) {
    const { alarms } = await room.ask('GET', '/api/v1/alarms?standing=true')
    if (!alarms.some((alarm: { id: string }) => alarm.id === alarmId)) return
    await wait(5)
  }
  throw new Error('The alarm did not end')
}
