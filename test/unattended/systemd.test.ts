import { describe, expect, it } from 'vitest'
import { createSystemd, type SystemdEnvironment } from '../../broker/unattended/systemd.ts'

/** systemd sets these for a unit of Type=notify with WatchdogSec=60: sd_watchdog_enabled(3), in microseconds. */
const WATCHED = { NOTIFY_SOCKET: '/run/systemd/notify', WATCHDOG_USEC: '60000000', WATCHDOG_PID: '7' }

function under(env: SystemdEnvironment) {
  const sent: string[] = []
  const warned: string[] = []
  const world = { nowMs: 0, ailment: null as string | null }
  const systemd = createSystemd({
    env,
    pid: 7,
    monotonicMs: () => world.nowMs,
    ailment: async () => world.ailment,
    logger: { warn: (_fields, text) => void warned.push(text) },
    send: line => void sent.push(line),
  })
  const pass = async (seconds: number) => {
    for (let second = 0; second < seconds; second++) {
      world.nowMs += 1000
      systemd.tick()
      await new Promise(resolve => setImmediate(resolve))
    }
  }
  return { sent, warned, world, systemd, pass }
}

describe('the word to systemd', () => {
  it('is given twice within the watchdog’s time while the service does its work', async () => {
    const { sent, systemd, pass } = under(WATCHED)
    systemd.ready()
    await pass(300)
    systemd.stopping()
    expect(sent).toEqual(['READY=1', ...Array<string>(10).fill('WATCHDOG=1'), 'STOPPING=1'])
  })

  it('stays away while it does not, is warned of once, and comes again', async () => {
    const { sent, warned, world, pass } = under(WATCHED)
    world.ailment = 'The rules have not looked at the room.'
    await pass(120)
    expect(sent).toEqual([])
    expect(warned).toHaveLength(1)
    world.ailment = null
    await pass(60)
    expect(sent).toEqual(['WATCHDOG=1', 'WATCHDOG=1'])
  })

  it('is not given where nobody wants to hear it', async () => {
    for (const env of [{}, { WATCHDOG_USEC: '60000000' }, { NOTIFY_SOCKET: '' }]) {
      const { sent, systemd, pass } = under(env)
      systemd.ready()
      await pass(200)
      expect(sent).toEqual([])
    }
  })

  it('is not given for a watchdog of another process, or where there is none', async () => {
    for (const env of [{ ...WATCHED, WATCHDOG_PID: '8' }, { NOTIFY_SOCKET: '/run/systemd/notify' }]) {
      const { sent, systemd, pass } = under(env)
      systemd.ready()
      await pass(200)
      expect(sent).toEqual(['READY=1'])
    }
  })
})
