import type { AddressInfo } from 'node:net'
import { SMTPServer, type SMTPServerOptions } from 'smtp-server'

export interface Mail {
  readonly from: string
  readonly to: readonly string[]
  readonly raw: string
  /** When it was taken, by `performance.now()`. */
  readonly takenAt: number
}

/** A mail server on loopback; `options` say how it fails. */
export interface MailServer {
  readonly port: number
  readonly mails: Mail[]
  close(): Promise<void>
}

export async function startMail(options: SMTPServerOptions = {}): Promise<MailServer> {
  const mails: Mail[] = []
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS'],
    disableReverseLookup: true,
    logger: false,
    onData(stream, session, done) {
      let raw = ''
      stream.on('data', (bytes: Buffer) => (raw += bytes.toString()))
      stream.on('end', () => {
        const { mailFrom, rcptTo } = session.envelope
        mails.push({
          from: mailFrom ? mailFrom.address : '',
          to: rcptTo.map(({ address }) => address),
          raw,
          takenAt: performance.now(),
        })
        done()
      })
    },
    ...options,
  })
  server.on('error', () => undefined)
  await new Promise<void>(resolve => server.listen(0, '127.0.0.1', () => resolve()))
  return {
    port: (server.server.address() as AddressInfo).port,
    mails,
    close: () => new Promise(resolve => server.close(() => resolve())),
  }
}

/** What a mail server says when it refuses. */
export function refusal(code: number, words: string): Error {
  return Object.assign(new Error(words), { responseCode: code })
}
