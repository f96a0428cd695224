import { spawn, type ChildProcess } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { afterEach, describe, expect, it } from 'vitest'
import { until } from '../program.ts'

const demo = fileURLToPath(new URL('../../../dist/sim/demo.js', import.meta.url))
let child: ChildProcess | undefined
afterEach(() => {
  child?.kill('SIGTERM')
})

/** What somebody sees who types `npm run demo` and nothing else. */
describe('the demo', () => {
  it('shows a furnished room and an alarm, and leaves nothing behind', async () => {
    // Two hours pass in a minute, so that what takes two minutes for a person takes a test less.
    child = spawn(
      process.execPath,
      [demo, '--http', '127.0.0.1:0', '--mqtt', '127.0.0.1:0', '--speed', '120'],
      {
        stdio: ['ignore', 'pipe', 'pipe'],
      },
    )
    let out = ''
    child.stdout!.on('data', (bytes: Buffer) => (out += bytes.toString()))
    child.stderr!.on('data', (bytes: Buffer) => (out += bytes.toString()))
    await until(
      async () => out,
      text => text.includes('Ctrl-C'),
      60_000,
    )
    const http = /Open (http:\S+)/.exec(out)?.[1]
    expect(http, out).toBeDefined()
    const get = async (path: string): Promise<any> => (await fetch(`${http}/api/v1${path}`)).json()

    const { vessels } = await get('/vessels')
    expect(vessels.length).toBeGreaterThanOrEqual(5)
    expect(vessels.every((vessel: any) => vessel.batch !== null && vessel.latest.waterC !== null)).toBe(true)
    const stages = new Set(vessels.map((vessel: any) => vessel.forecast.stage))
    expect(stages.has('hatching') && stages.has('harvest')).toBe(true)

    const standing = async () => (await get('/alarms')).alarms as any[]
    const alarms = await until(standing, list => list.some(alarm => alarm.rule === 'water-too-hot'), 60_000)
    const corner = vessels.find((vessel: any) => /corner/.test(vessel.name))
    expect(alarms.filter(alarm => alarm.rule === 'water-too-hot').map(alarm => alarm.vesselId)).toEqual([
      corner.id,
    ])

    const ended = new Promise<number | null>(resolve => child!.once('exit', resolve))
    child.kill('SIGINT')
    expect(await ended).toBe(0)
    await expect(fetch(`${http}/healthz`)).rejects.toThrow()
  })
})
