import { connect, type Socket } from 'node:net'
import { createTransport } from 'nodemailer'
import { isLoopback } from '../loopback.ts'
import {
  ChannelKind,
  DeliveryError,
  FailureKind,
  MessageAbout,
  type Channel,
  type Message,
} from './contract.ts'
import type { SmtpSettings } from './people.ts'

/** The longest silence of a mail server within one attempt, real time. */
const SILENCE_MS = 10_000

/** Sends plain text through the person's own mail server, a connection for each message. */
export function createEmail(parts: { settings: () => SmtpSettings | null }): Channel {
  return {
    kind: ChannelKind.email,
    quiet: true,
    async send(message, address, signal) {
      const settings = parts.settings()
      if (settings === null) throw new DeliveryError(FailureKind.permanent, 'No mail server is set up')
      const transport = createTransport({
        host: settings.host,
        port: settings.port,
        secure: settings.security === 'tls',
        requireTLS: settings.security === 'starttls',
        ignoreTLS: settings.security === 'none',
        ...(settings.user === null ? {} : { auth: { user: settings.user, pass: settings.password ?? '' } }),
        greetingTimeout: SILENCE_MS,
        socketTimeout: SILENCE_MS,
        disableFileAccess: true,
        disableUrlAccess: true,
        // A socket of our own can be ended when the time is up; the library knows no signal.
        getSocket: (_, take) => openSocket(settings, signal, take),
      })
      try {
        await transport.sendMail({
          from: { name: 'brinewatch', address: settings.from },
          // As an object it is one recipient, whatever it holds.
          to: { name: '', address },
          subject: message.title,
          text: mailText(message),
          messageId: messageId(message, settings.from),
          date: new Date(message.sentAtMs),
          headers: {
            'Auto-Submitted': 'auto-generated',
            ...(message.priority === 'critical' ? { Importance: 'high' } : {}),
          },
        })
      } catch (error) {
        throw mailFailure(error)
      } finally {
        transport.close()
      }
    },
  }
}

/** The same for every attempt: a mail program shows a repeat once. */
export function messageId(message: Message, from: string): string {
  return `<${message.id}@${from.slice(from.lastIndexOf('@') + 1)}>`
}

export function mailText({ about, text, acknowledgeUrl, openUrl = null }: Message): string {
  const link =
    acknowledgeUrl === null ? '' : `\nTo acknowledge it, open this and press the button:\n${acknowledgeUrl}\n`
  const what =
    about === MessageAbout.reminder ? 'To do it step by step, or to tick it off' : 'To see how it is now'
  const page = openUrl === null ? '' : `\n${what}:\n${openUrl}\n`
  const url = acknowledgeUrl ?? openUrl
  const where =
    url !== null && isLoopback(new URL(url).hostname)
      ? '\nThat address opens only on the machine that runs brinewatch; started with --lan it opens on a phone.\n'
      : ''
  return `${text}\n${link}${page}${where}`
}

function openSocket(
  { host, port }: SmtpSettings,
  signal: AbortSignal,
  take: (error: Error | null, options: { connection: Socket }) => void,
): void {
  const connection = connect({ host, port })
  const end = () => connection.destroy(new Error('The time is up'))
  if (signal.aborted) end()
  signal.addEventListener('abort', end, { once: true })
  connection.once('close', () => signal.removeEventListener('abort', end))
  const refuse = (error: Error) => take(error, { connection })
  connection.once('error', refuse)
  connection.once('connect', () => {
    connection.off('error', refuse)
    take(null, { connection })
  })
}

interface MailError extends Error {
  readonly code?: string
  readonly responseCode?: number
  readonly response?: string
}

/** RFC 5321 section 4.2.1: 4yz asks to try again, 5yz says not to. */
function mailFailure(error: unknown): DeliveryError {
  const { code, responseCode, response } = error as MailError
  // A wrong password is mended in the settings, and what waits meanwhile still counts: it is tried on.
  if (code === 'EAUTH')
    return new DeliveryError(FailureKind.temporary, 'The mail server refuses the user name or the password', {
      cause: error,
    })
  // So is one that offers no encryption where it is wanted: nothing is sent in the clear meanwhile.
  if (responseCode !== undefined && responseCode >= 400 && code !== 'ETLS') {
    const kind = responseCode >= 500 ? FailureKind.permanent : FailureKind.temporary
    return new DeliveryError(kind, `The mail server refuses: ${plain(response ?? String(responseCode))}`, {
      cause: error,
    })
  }
  const reason = REASONS[code ?? '']
  const words = `The mail server cannot be used${reason === undefined ? '' : `: ${reason}`}`
  return new DeliveryError(FailureKind.temporary, words, { cause: error })
}

const REASONS: Readonly<Record<string, string>> = {
  ECONNREFUSED: 'nothing listens at its address and port',
  ECONNECTION: 'the connection broke',
  ECONNRESET: 'it hung up',
  ETIMEDOUT: 'it does not answer',
  ENOTFOUND: 'there is no host of this name',
  EDNS: 'there is no host of this name',
  EAI_AGAIN: 'its name could not be looked up',
  ESOCKET: 'the connection could not be made safe, or broke',
  ETLS: 'it does not offer an encrypted connection',
}

/** One line of what a server said, short enough for a screen. */
function plain(text: string): string {
  return text
    .replace(/[^\x20-\x7e]+/g, ' ')
    .trim()
    .slice(0, 160)
}
