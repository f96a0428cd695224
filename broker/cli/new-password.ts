import { createInterface, type Interface } from 'node:readline/promises'
import type { ReadStream } from 'node:tty'
import { Writable } from 'node:stream'
import { CommandError } from './command.ts'

/** Nobody types more; what is longer is refused later, by its length. */
const MOST_BYTES = 4096

/** Asks for a new password: twice and unseen at a terminal, else the first line of standard input. */
export async function askNewPassword(
  input: ReadStream | NodeJS.ReadStream,
  ask: (text: string) => void,
): Promise<string> {
  if (!input.isTTY) return firstLine(input)
  const unseen = new Writable({ write: (_chunk, _encoding, done) => done() })
  const reader = createInterface({ input, output: unseen, terminal: true })
  try {
    const once = await typed(reader, ask, 'New password: ')
    const again = await typed(reader, ask, 'Once more: ')
    if (once !== again) throw new CommandError('Cannot set password: the two were not the same')
    return once
  } finally {
    reader.close()
  }
}

function typed(reader: Interface, ask: (text: string) => void, question: string): Promise<string> {
  ask(question)
  return new Promise((resolve, reject) => {
    const cancel = () => reject(new CommandError('Cannot set password: cancelled'))
    reader.once('SIGINT', cancel)
    reader.once('close', cancel)
    reader.question('').then(text => {
      reader.off('SIGINT', cancel)
      reader.off('close', cancel)
      ask('\n')
      resolve(text)
    }, cancel)
  })
}

async function firstLine(input: AsyncIterable<string | Buffer>): Promise<string> {
  let bytes = Buffer.alloc(0)
  for await (const chunk of input) {
    bytes = Buffer.concat([bytes, typeof chunk === 'string' ? Buffer.from(chunk) : chunk])
    if (bytes.includes('\n') || bytes.length > MOST_BYTES) break
  }
  return (bytes.toString('utf8').split('\n', 1)[0] ?? '').replace(/\r$/, '')
}
