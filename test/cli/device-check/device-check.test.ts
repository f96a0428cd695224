import { createServer } from 'node:net'
import { describe, expect, it } from 'vitest'
import { Verdict, type Finding } from '../../../broker/cli/device-check/finding.ts'
import { tryDevice } from '../../../broker/cli/device-check/trial.ts'
import { Device } from '../../../sim/device/device.ts'
import { seededRandom } from '../../../sim/random.ts'
import { Board, SharedClock } from '../../device/rig/board.ts'
import { Flaw, PlainDevice } from './plain-device.ts'

/** Time runs so much faster than the wall's clock. */
const SPEED = 25
const scaled = {
  clock: () => performance.now() * SPEED,
  sleep: (ms: number) => new Promise<void>(resolve => setTimeout(resolve, ms / SPEED)),
}
const quiet = () => {}

function freePort(): Promise<number> {
  return new Promise(resolve => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const { port } = server.address() as { port: number }
      server.close(() => resolve(port))
    })
  })
}

async function tryPlain(flaw: Flaw | null): Promise<Finding[]> {
  const port = await freePort()
  const trial = tryDevice({ device: 'plain', host: '127.0.0.1', port, say: quiet, ...scaled })
  const device = new PlainDevice('plain', port, SPEED, flaw)
  try {
    return await trial
  } finally {
    device.stop()
  }
}
const of = (findings: readonly Finding[], ...verdicts: Verdict[]) =>
  findings.filter(({ verdict }) => verdicts.includes(verdict)).map(({ clause }) => clause)

describe('device check', { timeout: 120_000 }, () => {
  it('tells each step with the time it may take, and what was found until it was stopped', async () => {
    const port = await freePort()
    const said: string[] = []
    const stop = new AbortController()
    const say = (line: string) => {
      said.push(line)
      // In the middle of the second step, which has then brought nothing to judge.
      if (line.includes('waiting for it to connect anew')) stop.abort()
    }
    const trial = tryDevice({ device: 'plain', host: '127.0.0.1', port, say, stop: stop.signal, ...scaled })
    const device = new PlainDevice('plain', port, SPEED, null)
    const findings = await trial
    device.stop()
    expect(said.find(line => line.startsWith('2 of 5'))).toMatch(/At most 244 s\.$/)
    expect(said.at(-1)).toMatch(/connect anew: \d+ s, \d+ s more at most\.$/)
    expect(of(findings, Verdict.right)).toContain('measurements')
    expect(of(findings, Verdict.unseen)).toEqual(expect.arrayContaining(['resend.connect', 'outbox']))
    expect(of(findings, Verdict.wrong)).toEqual([])
  })

  it('finds nothing wrong with the reference firmware, and nothing that could be better', async () => {
    const clock = new SharedClock(Date.UTC(2026, 0, 1))
    const port = await freePort()
    const board = new Board(clock, { device: 'cone-1', password: 'x', port, answerMs: 200 })
    await board.powerOn()
    const findings = await tryDevice({
      ...{ device: 'cone-1', host: '127.0.0.1', port, say: quiet, clock: () => clock.now },
      sleep: async ms => void (await board.run(ms, 50)),
    })
    await board.powerOff()
    expect(findings.filter(({ verdict }) => verdict !== Verdict.right)).toEqual([])
    expect(findings.length).toBeGreaterThan(20)
  })

  // Once more if need be: a second of this device is 40 ms of the wall's clock, which a busy machine may hold back from it.
  it('finds nothing wrong with a plain device that keeps to the book', { retry: 1 }, async () => {
    const findings = await tryPlain(null)
    expect(findings.filter(({ verdict }) => verdict !== Verdict.right)).toEqual([])
  })

  const CLAUSE_OF: Readonly<Record<Flaw, string>> = {
    [Flaw.noWill]: 'connect.will',
    [Flaw.willUnretained]: 'connect.will',
    [Flaw.wrongUser]: 'connect.user',
    [Flaw.longKeepAlive]: 'connect.keep-alive',
    [Flaw.noCommandTopic]: 'subscribe',
    [Flaw.foreignTopic]: 'topics',
    [Flaw.qos0]: 'measurements.qos',
    [Flaw.noBoot]: 'measurements.numbers',
    [Flaw.seqGap]: 'measurements.numbers',
    [Flaw.fahrenheit]: 'measurements.units',
    [Flaw.numberAsText]: 'measurements',
    [Flaw.future]: 'measurements.times',
    [Flaw.stateUnretained]: 'state',
    [Flaw.stateBad]: 'state',
    [Flaw.pipelined]: 'measurements.one-in-flight',
    [Flaw.resendsOther]: 'resend.same',
    [Flaw.resendsOldTimes]: 'resend.same',
    [Flaw.neverGivesUp]: 'resend.connect',
    [Flaw.ignoresConfig]: 'config.applied',
    [Flaw.breaksOnNonsense]: 'ignore',
    [Flaw.noReport]: 'command.report',
    [Flaw.storms]: 'reconnect.waits',
    [Flaw.forgets]: 'outbox',
  }
  it('names what is wrong with each bad device', async () => {
    const flaws = Object.values(Flaw)
    const tried = await Promise.all(flaws.map(async flaw => [flaw, await tryPlain(flaw)] as const))
    for (const [flaw, findings] of tried)
      expect([flaw, of(findings, Verdict.wrong, Verdict.better)]).toEqual([
        flaw,
        expect.arrayContaining([CLAUSE_OF[flaw]]),
      ])
  })

  it('says that nothing came, within the time it was given', async () => {
    const findings = await tryDevice({
      ...{ device: 'nobody', host: '127.0.0.1', port: 0, say: quiet, arriveWithinMs: 5000, ...scaled },
    })
    expect(findings).toEqual([expect.objectContaining({ clause: 'connect', verdict: Verdict.wrong })])
  })

  it('says of the simulated device what it leaves out', async () => {
    const port = await freePort()
    const trial = tryDevice({ device: 'sim-1', host: '127.0.0.1', port, say: quiet, ...scaled })
    const device = new Device({
      ...{
        name: 'sim-1',
        password: 'x',
        host: '127.0.0.1',
        port,
        now: scaled.clock,
        random: seededRandom(1),
      },
      backoff: { firstMs: 1000 / SPEED, mostMs: 60_000 / SPEED },
      acknowledgeWithinMs: 20_000 / SPEED,
      stateEveryMs: 60_000 / SPEED,
    })
    device.start()
    const sampling = setInterval(
      () => device.sample({ atMs: scaled.clock(), readings: [{ name: 'water', unit: 'Cel', value: 27 }] }),
      1000 / SPEED,
    )
    const findings = await trial
    clearInterval(sampling)
    await device.stop()
    // It hears all that it is told, and keeps to its own pace.
    expect(of(findings, Verdict.wrong)).toEqual(['config.applied'])
    expect(of(findings, Verdict.right)).toEqual(
      expect.arrayContaining([
        'subscribe',
        'measurements.numbers',
        'resend.same',
        'outbox',
        'reconnect.waits',
      ]),
    )
  })
})
