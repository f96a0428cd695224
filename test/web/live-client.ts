import { WebSocket, type ClientOptions } from 'ws'
import type { LiveChange, LiveChanges, LiveMessage, LiveSnapshot } from '../../broker/web/api/live.ts'

/** A screen on the live feed: what it was sent, and a way to wait for more. */
export class LiveReader {
  readonly socket: WebSocket
  readonly messages: LiveMessage[] = []
  readonly closed: Promise<{ code: number; reason: string }>
  #wake: () => void = () => undefined

  constructor(url: string, options: ClientOptions = {}) {
    this.socket = new WebSocket(url, options)
    this.socket.on('message', data => {
      this.messages.push(JSON.parse((data as Buffer).toString('utf8')) as LiveMessage)
      this.#wake()
    })
    this.closed = new Promise(resolve => {
      this.socket.on('close', (code, reason) => resolve({ code, reason: reason.toString() }))
    })
    this.socket.on('error', () => undefined)
  }

  /** Resolves once what was sent satisfies the condition; rejects after `withinMs`. */
  async until(what: (messages: LiveMessage[]) => boolean, withinMs = 20_000): Promise<LiveMessage[]> {
    let late = false
    const timer = setTimeout(() => {
      late = true
      this.#wake()
    }, withinMs)
    try {
      while (!what(this.messages)) {
        if (late) throw new Error(`Not sent within ${withinMs} ms; got ${this.messages.length} messages`)
        await new Promise<void>(resolve => (this.#wake = resolve))
      }
      return this.messages
    } finally {
      clearTimeout(timer)
    }
  }

  async first(): Promise<LiveMessage> {
    const [message] = await this.until(messages => messages.length > 0)
    return message!
  }

  async snapshot(): Promise<LiveSnapshot> {
    const message = await this.first()
    if (message.type !== 'snapshot') throw new Error(`Expected a snapshot, got ${message.type}`)
    return message
  }

  changeMessages(): LiveChanges[] {
    return this.messages.filter(message => message.type === 'changes')
  }

  changes(): LiveChange[] {
    return this.changeMessages().flatMap(message => message.changes)
  }

  get cursor(): string {
    return this.messages.at(-1)?.cursor ?? ''
  }
}

/** The status and body with which an upgrade is refused. */
export function refusedUpgrade(url: string, options: ClientOptions = {}, protocols: string[] = []) {
  return new Promise<{ status: number; type: string | undefined; body: unknown }>((resolve, reject) => {
    const socket = new WebSocket(url, protocols, options)
    socket.on('open', () => {
      socket.terminate()
      reject(new Error('The upgrade was not refused'))
    })
    socket.on('unexpected-response', (_request, response) => {
      let text = ''
      response.setEncoding('utf8')
      response.on('data', (chunk: string) => (text += chunk))
      response.on('end', () => {
        socket.terminate()
        const type = response.headers['content-type']
        resolve({ status: response.statusCode ?? 0, type, body: JSON.parse(text) })
      })
    })
    socket.on('error', () => undefined)
  })
}
