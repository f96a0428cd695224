import {
  createServer as createPlainServer,
  type IncomingMessage,
  type Server,
  type ServerResponse,
} from 'node:http'
import { createServer as createTlsServer, Server as TlsServer } from 'node:https'
import type { AddressInfo } from 'node:net'
import type { Leader } from '../store/postgres/lead.ts'
import type { Certificates } from '../tls/certificates.ts'
import type { Pair } from '../tls/make.ts'

export interface StandByParts {
  readonly worker: string
  /** Who leads, as far as is known. */
  readonly leader: () => Leader | null
  readonly ailments: () => readonly string[]
  readonly tls: Certificates | null
}

/** What a worker that does not lead answers people: where to look instead. */
export class StandBy {
  readonly #parts: StandByParts
  readonly #server: Server

  constructor(parts: StandByParts) {
    this.#parts = parts
    const answer = (request: IncomingMessage, response: ServerResponse): void =>
      this.#answer(request, response)
    this.#server = parts.tls ? createTlsServer({ ...parts.tls.pair }, answer) : createPlainServer(answer)
  }

  listen(host: string, port: number): Promise<{ host: string; port: number }> {
    return new Promise((resolve, reject) => {
      this.#server.once('error', reject)
      this.#server.listen(port, host, () => {
        this.#server.off('error', reject)
        const { address, port: taken } = this.#server.address() as AddressInfo
        resolve({ host: address, port: taken })
      })
    })
  }

  /** For connections that are made from now on. */
  useCertificate(pair: Pair): void {
    if (this.#server instanceof TlsServer) this.#server.setSecureContext(pair)
  }

  close(): Promise<void> {
    return new Promise(resolve => {
      this.#server.close(() => resolve())
      this.#server.closeAllConnections()
    })
  }

  #answer(request: IncomingMessage, response: ServerResponse): void {
    const { worker, leader, ailments } = this.#parts
    const leads = leader()
    const known = leads === null || leads.address === '' ? null : leads
    const path = request.url?.split('?')[0] ?? '/'
    const json = (status: number, type: string, body: object): void =>
      send(response, status, `${type}; charset=utf-8`, JSON.stringify(body))
    if (path === '/healthz') {
      const ill = ailments()
      return json(ill.length === 0 ? 200 : 503, 'application/json', {
        status: ill.length === 0 ? 'stands by' : 'ailing',
        worker,
        leader: known,
        ...(ill.length === 0 ? {} : { ailments: ill }),
      })
    }
    const sentence = known
      ? `Worker ${worker} stands by; ${known.worker} leads, at ${known.address}.`
      : `Worker ${worker} stands by; nobody leads yet. Try again in a few seconds.`
    if (path.startsWith('/api/') || path === '/metrics')
      return json(503, 'application/problem+json', {
        type: 'about:blank',
        title: 'Service Unavailable',
        status: 503,
        detail: sentence,
        ...(known ? { leader: known } : {}),
      })
    const link = known ? `<p><a href="${escaped(known.address)}">${escaped(known.address)}</a></p>` : ''
    send(
      response,
      503,
      'text/html; charset=utf-8',
      `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">` +
        `<title>brinewatch stands by</title><p>${escaped(sentence)}</p>${link}</html>`,
    )
  }
}

function send(response: ServerResponse, status: number, type: string, body: string): void {
  response.writeHead(status, {
    'content-type': type,
    'content-security-policy': "default-src 'none'",
    'x-content-type-options': 'nosniff',
    'cache-control': 'no-store',
    ...(status === 503 ? { 'retry-after': '2' } : {}),
  })
  response.end(body)
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
}

function escaped(text: string): string {
  return text.replace(/[&<>"']/g, each => ENTITIES[each]!)
}
