import { spawn, type ChildProcess } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, removeDir, startProgram, until, type Program } from '../program.ts'

const SIM = fileURLToPath(new URL('../../../dist/sim/main.js', import.meta.url))
const SPEED = 200

interface Line {
  readonly hours: number
  readonly bottomC: number
  readonly deadShare: number
  readonly lampRelayOpen: boolean
}

/** A lamp that runs away, a device that obeys the alarm topic, and nobody who wakes up. */
describe('a device with a relay in the line of its lamp', () => {
  const dir = freshDir()
  const truthFile = join(dir, 'truth')
  let program: Program
  let sim: ChildProcess
  let said = ''

  beforeAll(async () => {
    program = await startProgram(join(dir, 'data'), ['--clock-speed', String(SPEED)])
    const { device, password } = program.addDevice('bench-1')
    sim = spawn(
      process.execPath,
      [
        SIM,
        ...['--mqtt', `${program.mqttHost}:${program.mqttPort}`, '--device', device, '--password', password],
        ...['--scenario', 'lamp-relay', '--seed', '1', '--speed', String(SPEED), '--history', '9.6'],
        ...['--truth', truthFile],
      ],
      { stdio: ['ignore', 'pipe', 'inherit'] },
    )
    sim.stdout!.on('data', (bytes: Buffer) => (said += bytes.toString()))
    await until(
      async () => (await program.api('GET', '/api/v1/devices')).body.devices.length as number,
      count => count === 1,
    )
    const { id } = (await program.api('POST', '/api/v1/vessels', { name: 'Left cone', litres: 1 })).body
    const channels = { water: 'bench-1/water', air: 'bench-1/air', light: 'bench-1/light' }
    await program.api('PUT', `/api/v1/vessels/${id}/channels`, channels)
    await program.api('POST', '/api/v1/batches', { vesselId: id, litres: 1, cystsG: 2, salinityGpl: 25 })
  })
  afterAll(async () => {
    sim.kill('SIGTERM')
    await program.stop()
    removeDir(dir)
  })

  const truth = (): Line[] =>
    existsSync(truthFile)
      ? readFileSync(truthFile, 'utf8')
          .split('\n')
          .slice(0, -1)
          .map(line => JSON.parse(line) as Line)
      : []

  it('keeps its animals alive where the same lamp without one kills them', async () => {
    const lines = await until(
      async () => truth(),
      all => (all.at(-1)?.hours ?? 0) > 12.2,
      90_000,
    )
    expect(lines.at(-1)!.hours).toBeGreaterThan(12.2)
    expect(lines.some(({ lampRelayOpen }) => lampRelayOpen)).toBe(true)
    // The story without a relay is above 33 °C by 12 h: there hatching stops (New 2002, FAO Fisheries Technical Paper 428, Annex 4).
    expect(Math.max(...lines.map(({ bottomC }) => bottomC))).toBeLessThan(33)
    expect(lines.at(-1)!.deadShare).toBe(0)
    expect(said).toMatch(/bench-1: sounds \(critical\), lamp off: Left cone: /)
  })
})
