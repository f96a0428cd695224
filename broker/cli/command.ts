import type { OpenedStore, StorePlace } from '../store/open-at.ts'

/** What was typed cannot be understood: answered with one sentence and exit code 2. */
export class UsageError extends Error {
  override readonly name = 'UsageError'
}

/** What was asked for cannot be done: answered with one sentence and exit code 1. */
export class CommandError extends Error {
  override readonly name = 'CommandError'
}

/** What a command may use of the world. */
export interface Terminal {
  readonly dataDir: string
  /** Where the store is: the data directory, or a database. */
  readonly place: StorePlace
  readonly nowMs: number
  /** Writes one line to standard output: what other programs read. */
  readonly print: (line: string) => void
  /** Writes one line to standard error: what people read. */
  readonly say: (line: string) => void
  readonly flags: CommandFlags
  /** A password typed twice without showing it, or the first line of what is piped in. */
  readonly newPassword: () => Promise<string>
}

/** Flags that some commands take, beside those that all do. */
export interface CommandFlags {
  readonly json: boolean
  readonly mqtt: string | null
  readonly 'no-names': boolean
  readonly photos: boolean
  readonly code: boolean
  readonly role: string | null
  /** Given as often as there are topics. */
  readonly topic: readonly string[] | null
}

interface CommandBase {
  /** As typed: `device add`. */
  readonly name: string
  /** The one argument that it takes, if it takes one. */
  readonly argument?: 'NAME' | 'FILE' | 'FOLDER' | 'ID'
  /** A second one, which may be left out. */
  readonly optional?: 'FILE'
  readonly about: string
  /** What its own --help says besides. */
  readonly more?: string
  readonly flags?: readonly (keyof CommandFlags)[]
}

/** A command on the store, which it may use while the service runs. */
export interface StoreCommand extends CommandBase {
  /** Whether it may begin a data directory that is not there yet. */
  readonly begins: boolean
  run(store: OpenedStore, terminal: Terminal, argument: string, optional?: string): Promise<void>
}

/** A command on the data directory itself. */
export interface DirectoryCommand extends CommandBase {
  readonly begins?: never
  run(terminal: Terminal, argument: string, optional?: string): Promise<void>
}

export type Command = StoreCommand | DirectoryCommand

const NAME = /^[A-Za-z0-9][A-Za-z0-9_-]{0,62}$/

/** Refuses what cannot be a device's or token's name. */
export function checkName(what: string, name: string): void {
  if (NAME.test(name)) return
  throw new UsageError(
    `Cannot name ${what}: use 1 to 63 letters, digits, "-" and "_", beginning with a letter or digit, got "${name}"`,
  )
}
