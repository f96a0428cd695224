import { checkName, CommandError, UsageError, type DirectoryCommand } from './command.ts'
import { Verdict, type Finding } from './device-check/finding.ts'
import { tryDevice } from './device-check/trial.ts'

/** Beside a service that has the usual port. */
const USUAL = '127.0.0.1:1884'

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
  async run({ print, say, flags }, name) {
    checkName('device', name)
    const { host, port } = endpoint(flags.mqtt ?? USUAL)
    let findings: Finding[]
    try {
      findings = await tryDevice({
        ...{ device: name, host, port, say, clock: Date.now },
        sleep: ms => new Promise(resolve => setTimeout(resolve, ms)),
      })
    } catch (error) {
      if (!(error instanceof Error && 'code' in error)) throw error
      throw new CommandError(
        `Cannot listen on ${host}:${port}: ${error.message}; name another with --mqtt HOST:PORT`,
      )
    }
    if (flags.json) print(JSON.stringify({ device: name, findings }))
    else for (const finding of findings) print(lineOf(finding))
    const wrong = findings.filter(({ verdict }) => verdict === Verdict.wrong).length
    const right = findings.filter(({ verdict }) => verdict === Verdict.right).length
    if (wrong > 0)
      throw new CommandError(
        `${name} does ${wrong} of ${findings.length} things wrong; firmware-protocol/README.md says how they should be`,
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
