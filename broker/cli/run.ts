import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { DATABASE_FILE } from '../store/sqlite/database.ts'
import { isDatabase, openStoreAt, placeOf } from '../store/open-at.ts'
import { accessCommands } from './access.ts'
import { backupCommands } from './backup.ts'
import { batchCommands } from './batch.ts'
import { bridgeCommands } from './bridges.ts'
import { CommandError, UsageError, type Command, type CommandFlags, type Terminal } from './command.ts'
import { deviceCheckCommands } from './device-check.ts'
import { deviceCommands } from './devices.ts'
import { exportCommands } from './export.ts'
import { peopleCommands } from './people.ts'
import { help, helpOn } from './help.ts'

const COMMANDS: readonly Command[] = [
  ...deviceCommands,
  ...deviceCheckCommands,
  ...bridgeCommands,
  ...accessCommands,
  ...peopleCommands,
  ...backupCommands,
  ...exportCommands,
  ...batchCommands,
]

/** Runs one command; resolves to the exit code: 0 done, 1 could not be done, 2 not understood. */
export async function run(
  args: readonly string[],
  world: Omit<Terminal, 'dataDir' | 'place' | 'flags'> & { readonly env?: NodeJS.ProcessEnv },
): Promise<number> {
  try {
    const { dataDir, storeUrl, isNamed, wantsHelp, words, flags } = read(args)
    const command = words.length === 0 ? undefined : find(words)
    if (wantsHelp || !command) {
      if (!wantsHelp) throw new UsageError('Cannot run: say which command; --help lists them')
      world.print(command ? helpOn(command) : help(COMMANDS))
      return 0
    }
    const [argument, optional] = argumentsOf(command, words)
    refuseOtherFlags(command, flags)
    const place = placeOf(dataDir, storeUrl, world.env ?? {})
    // A service that keeps its data elsewhere would never hear of what this writes.
    if (command.begins && !isDatabase(place) && !isNamed && !existsSync(join(dataDir, DATABASE_FILE))) {
      world.say(
        `Beginning new data in ${dataDir}; if the service was started with --data, give the same here`,
      )
    }
    await execute(command, argument, optional, { ...world, dataDir, place, flags })
    return 0
  } catch (error) {
    world.say(error instanceof Error ? error.message : String(error))
    return error instanceof UsageError ? 2 : 1
  }
}

function read(args: readonly string[]) {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      options: {
        data: { type: 'string' },
        'store-url': { type: 'string' },
        json: { type: 'boolean' },
        mqtt: { type: 'string' },
        'no-names': { type: 'boolean' },
        photos: { type: 'boolean' },
        code: { type: 'boolean' },
        role: { type: 'string' },
        topic: { type: 'string', multiple: true },
        help: { type: 'boolean', short: 'h' },
      },
      allowPositionals: true,
    })
    if (values.data === '') throw new Error('Cannot use --data: name a directory')
    return {
      dataDir: values.data ?? 'data',
      storeUrl: values['store-url'] ?? null,
      isNamed: values.data !== undefined,
      wantsHelp: values.help ?? false,
      words: positionals,
      flags: {
        json: values.json ?? false,
        mqtt: values.mqtt ?? null,
        code: values.code ?? false,
        role: values.role ?? null,
        topic: values.topic ?? null,
        'no-names': values['no-names'] ?? false,
        photos: values.photos ?? false,
      },
    }
  } catch (error) {
    const [sentence = ''] = (error instanceof Error ? error.message : String(error)).split('\n')
    throw new UsageError(sentence)
  }
}

const wordsOf = (command: Command): string[] => command.name.split(' ')

function find(words: readonly string[]): Command {
  const found = COMMANDS.find(command => wordsOf(command).every((word, at) => words[at] === word))
  if (found) return found
  const near = COMMANDS.filter(command => wordsOf(command)[0] === words[0]).map(
    command => `"${command.name}"`,
  )
  const hint = near.length > 0 ? `there is ${near.join(', ')}` : '--help lists the commands'
  throw new UsageError(`Cannot run "${words.join(' ')}": there is no such command; ${hint}`)
}

function argumentsOf(command: Command, words: readonly string[]): [string, string | undefined] {
  const [argument, ...rest] = words.slice(wordsOf(command).length)
  const wanted = command.argument
  if (wanted !== undefined && argument === undefined) {
    throw new UsageError(`Cannot run "${command.name}": it needs a ${wanted}: ${command.name} ${wanted}`)
  }
  const optional = command.optional === undefined ? undefined : rest.shift()
  const surplus = wanted === undefined ? argument : rest[0]
  if (surplus !== undefined) {
    throw new UsageError(`Cannot run "${command.name}": "${surplus}" is one word too many`)
  }
  return [argument ?? '', optional]
}

function refuseOtherFlags(command: Command, flags: CommandFlags): void {
  for (const flag of ['json', 'mqtt', 'code', 'role', 'no-names', 'photos', 'topic'] as const) {
    if (flags[flag] === false || flags[flag] === null || command.flags?.includes(flag)) continue
    throw new UsageError(`Cannot run "${command.name}": it does not take --${flag}`)
  }
}

async function execute(
  command: Command,
  argument: string,
  optional: string | undefined,
  terminal: Terminal,
): Promise<void> {
  const { dataDir, place } = terminal
  if (command.begins === undefined) return command.run(terminal, argument, optional)
  if (!command.begins && !isDatabase(place) && !existsSync(join(dataDir, DATABASE_FILE))) {
    throw new CommandError(
      `Cannot run "${command.name}": there is no data in ${dataDir}; name the directory with --data`,
    )
  }
  const store = await openStoreAt(place, { access: 'tool', threads: false })
  try {
    await command.run(store, terminal, argument, optional)
  } finally {
    await store.close()
  }
}
