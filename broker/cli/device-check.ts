import { checkName, CommandError, UsageError, type DirectoryCommand } from './command.ts'
import { Verdict, type Finding } from './device-check/finding.ts'
import { MOST_MINUTES, tryDevice } from './device-check/trial.ts'

/** Beside a service that has the usual port. */
const USUAL = '127.0.0.1:1884'

/** What ends it early. */
const SIGNALS = ['SIGINT', 'SIGTERM'] as const

const WORDS: Readonly<Record<Verdict, string>> = {
  right: 'right    ',
  wrong: 'WRONG    ',
  better: 'better if',
  unseen: 'not seen ',
}

const check: DirectoryCommand = {
  name: 'device check',
  argument: 'NAME',
  about: 'put a device through its paces, clause by clause: it connects to a broker of this command',
  flags: ['json', 'mqtt'],
  more: `The command is a small MQTT broker of its own for one device, and treats it well and badly in five steps. The service may
  run meanwhile. Nothing is kept, and any password will do.

  --mqtt HOST:PORT  where it listens, and where the device must be pointed; ${USUAL} when left out. For a board on
                    the network 0.0.0.0:1884, and the board to this machine's address and that port
  --json            one line of JSON in place of a line for each clause: device, stopped, and findings, each with clause, asks,
                    verdict (right, wrong, better, unseen) and detail

  It takes some two and a half minutes, ${MOST_MINUTES} at most; what it waits for, and for how long at most, is told as it goes. Ctrl-C ends it
  early, and what was found until then is told. The exit code is 0 when all was looked at and nothing is wrong, else 1.`,
  async run({ print, say, flags }, name) {
    checkName('device', name)
    const { host, port } = endpoint(flags.mqtt ?? USUAL)
    let findings: Finding[]
    const stop = new AbortController()
    const end = () => stop.abort()
    for (const signal of SIGNALS) process.once(signal, end)
    try {
      findings = await tryDevice({
        ...{ device: name, host, port, say, clock: Date.now, stop: stop.signal },
        sleep: ms => new Promise(resolve => setTimeout(resolve, ms)),
      })
    } catch (error) {
      if (!(error instanceof Error && 'code' in error)) throw error
      throw new CommandError(
        `Cannot listen on ${host}:${port}: ${error.message}; name another with --mqtt HOST:PORT`,
      )
    } finally {
      for (const signal of SIGNALS) process.off(signal, end)
    }
    const stopped = stop.signal.aborted
    if (flags.json) print(JSON.stringify({ device: name, stopped, findings }))
    else for (const finding of findings) print(lineOf(finding))
    const wrong = findings.filter(({ verdict }) => verdict === Verdict.wrong).length
    const right = findings.filter(({ verdict }) => verdict === Verdict.right).length
    if (wrong > 0)
      throw new CommandError(
        `${name} does ${wrong} of ${findings.length} things wrong; firmware-protocol/README.md says how they should be`,
      )
    if (stopped)
      throw new CommandError(
        findings.length === 0
          ? 'Stopped before anything could be told of it.'
          : `Stopped: so far ${name} does ${right} of ${findings.length} things right, and none wrong.`,
      )
    say(`${name} does ${right} of ${findings.length} things right, and none wrong.`)
  },
}

function lineOf({ verdict, clause, asks, detail }: Finding): string {
  return `${WORDS[verdict]}  ${clause.padEnd(27)} ${asks}: ${detail}`
}

function endpoint(text: string): { host: string; port: number } {
  const match = /^(?:\[([^\]]+)\]|([^:]+)):(\d{1,5})$/.exec(text)
  const host = match?.[1] ?? match?.[2]
  const port = Number(match?.[3])
  if (host === undefined || port > 65_535)
    throw new UsageError(`Cannot use --mqtt: write HOST:PORT, like ${USUAL}, got ${text}`)
  return { host, port }
}

export const deviceCheckCommands = [check]
