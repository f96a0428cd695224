import { createServer, type IncomingHttpHeaders, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'

export interface Received {
  readonly path: string
  readonly headers: IncomingHttpHeaders
  readonly body: string
  readonly key: string
  readonly atMs: number
  /** The same by `performance.now()`. */
  readonly takenAt: number
}

/** An HTTP receiver on loopback that does as it is told with each request, after it has read it. */
export interface Receiver {
  readonly url: string
  /** Everything that came, answered well or not. */
  readonly received: Received[]
  answer: (received: Received, response: ServerResponse) => void
  close(): Promise<void>
}

export async function startReceiver(
  answer: Receiver['answer'] = (_, response) => response.end(),
): Promise<Receiver> {
  const received: Received[] = []
  const server = createServer((request, response) => {
    let body = ''
    request.on('data', (bytes: Buffer) => (body += bytes.toString()))
    request.on('end', () => {
      const one = {
        path: request.url ?? '',
        headers: request.headers,
        body,
        key: String(request.headers['brinewatch-delivery']),
        atMs: Date.now(),
        takenAt: performance.now(),
      }
      received.push(one)
      receiver.answer(one, response)
    })
  })
  await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
  const receiver: Receiver = {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    received,
    answer,
    async close() {
      server.closeAllConnections()
      await new Promise(resolve => server.close(resolve))
    },
  }
  return receiver
}

export const withStatus =
  (status: number, headers: Record<string, string> = {}): Receiver['answer'] =>
  (_, response) =>
    response.writeHead(status, headers).end()
