import type { Command, CommandFlags } from './command.ts'

const usageOf = ({ name, argument, optional }: Command): string =>
  `${name}${argument ? ` ${argument}` : ''}${optional ? ` [${optional}]` : ''}`

const FLAGS: Readonly<Record<keyof CommandFlags, string>> = {
  json: '--json',
  mqtt: '--mqtt HOST:PORT',
  'no-names': '--no-names',
  photos: '--photos',
  code: '--code',
  role: '--role viewer|helper|owner',
  topic: '--topic FILTER',
}

export function helpOn(command: Command): string {
  const flags = (command.flags ?? []).map(flag => ` [${FLAGS[flag]}]`).join('')
  return `Usage: npm run -s brinewatch -- [--data DIR | --store-url URL] ${usageOf(command)}${flags}\n\n  ${command.about}${command.more === undefined ? '' : `\n\n  ${command.more}`}`
}

export function help(commands: readonly Command[]): string {
  const width = Math.max(...commands.map(command => usageOf(command).length))
  const lines = commands.map(command => `  ${usageOf(command).padEnd(width)}  ${command.about}`)
  return `Usage: npm run -s brinewatch -- [--data DIR | --store-url URL] COMMAND

${lines.join('\n')}

  --data DIR       where the service keeps its data (default: data)
  --store-url URL  the PostgreSQL database where it keeps them, if it was started with one
  --help           this text, or that of one command

Commands work while the service runs, and without it.`
}
