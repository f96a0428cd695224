import type { Duplex } from 'node:stream'
import { BARE_HEADERS, PROBLEM_TYPE, problemDocument, type HttpProblem } from './problem.ts'

/** Answers with a problem over a bare socket, where there is no response to write to, and ends it. */
export function refuseSocket(socket: Duplex, problem: HttpProblem): void {
  if (!socket.writable) return void socket.destroy()
  const text = JSON.stringify(problemDocument(problem))
  const headers = {
    ...problem.headers,
    ...BARE_HEADERS,
    'Content-Type': PROBLEM_TYPE,
    'Content-Length': Buffer.byteLength(text),
    Connection: 'close',
  }
  const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}\r\n`)
  socket.end(`HTTP/1.1 ${problem.status} ${problemDocument(problem).title}\r\n${lines.join('')}\r\n${text}`)
}
