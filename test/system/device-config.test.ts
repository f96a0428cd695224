import { spawnSync } from 'node:child_process'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { deviceConfig, type DeviceConfig } from '../../firmware-protocol/device-config.ts'
import { Device } from '../../sim/device/device.ts'
import { seededRandom } from '../../sim/random.ts'
import { freshDir, removeDir, startProgram, until, type Program } from './program.ts'

const PATH = '/api/v1/devices/bench-1/config'

describe('the settings of a device', () => {
  const dir = freshDir()
  let program: Program
  let bench: { device: string; password: string }
  let device: Device | null = null

  /** What a device that was just powered up finds on its topic. */
  const retained = (): DeviceConfig | null => {
    const { stdout } = spawnSync(
      'mosquitto_sub',
      [
        ...['-h', program.mqttHost, '-p', String(program.mqttPort), '-u', bench.device, '-P', bench.password],
        ...['-q', '1', '-C', '1', '-W', '2', '-t', `brinewatch/v1/${bench.device}/config`],
      ],
      { encoding: 'utf8', timeout: 10_000 },
    )
    return stdout.trim() === '' ? null : deviceConfig.parse(JSON.parse(stdout))
  }
  const applied = (revision: number) =>
    until(
      async () => (await program.api('GET', '/api/v1/devices')).body.devices[0].configRevision,
      shown => shown === revision,
    )

  beforeAll(async () => {
    program = await startProgram(dir)
    bench = program.addDevice('bench-1')
  })
  afterAll(async () => {
    await device?.stop()
    await program.stop()
    removeDir(dir)
  })

  it('are nothing until somebody sets them, and then wait for it', async () => {
    expect(retained()).toBeNull()
    const { status, body } = await program.api('PUT', PATH, { sampleIntervalS: 5, silentBrokerMinutes: 3 })
    expect(status, JSON.stringify(body)).toBe(200)
    expect(
      await until(
        async () => retained(),
        config => config !== null,
      ),
    ).toMatchObject({
      revision: 1,
      sampleIntervalS: 5,
      silentBrokerMinutes: 3,
    })
  })

  it('wait for it still after a kill, though the broker forgot', async () => {
    await program.kill()
    program = await startProgram(dir)
    expect(retained()).toMatchObject({ revision: 1, sampleIntervalS: 5 })
  })

  it('are taken by a device, which says so, and changed while it listens', async () => {
    let aheadMs = 0
    device = new Device({
      name: bench.device,
      password: bench.password,
      host: program.mqttHost,
      port: program.mqttPort,
      now: () => Date.now() + aheadMs,
      random: seededRandom(1),
    })
    device.start()
    expect(await applied(1)).toBe(1)
    await program.api('PUT', PATH, { sampleIntervalS: 5, silentBrokerMinutes: 4 })
    expect(await applied(2)).toBe(2)
    // Four minutes without an acknowledged pack: the link alone does not quiet it, a pack that is kept does.
    aheadMs = 4 * 60_000
    expect(device.buzz).toBe('silent-broker')
    device.sample({ atMs: Date.now() + aheadMs, readings: [{ name: 'water', unit: 'Cel', value: 27 }] })
    expect(
      await until(
        async () => device!.buzz,
        buzz => buzz === null,
      ),
    ).toBeNull()
  })
})
