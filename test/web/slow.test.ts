import { once } from 'node:events'
import { connect, type Socket } from 'node:net'
import { expect, it } from 'vitest'
import { bench } from './harness.ts'

/** Sends a byte of a request now and then, and never its end. */
async function slow(port: number, begin: string): Promise<Socket> {
  const socket = connect(port, '127.0.0.1')
  socket.on('error', () => undefined)
  await once(socket, 'connect')
  socket.write(begin)
  const drip = setInterval(() => socket.write('x'), 20)
  socket.once('close', () => clearInterval(drip))
  return socket
}

it('connections that send a byte now and then keep nobody out, and make way one by one', async () => {
  const { web } = bench({ maxConnections: 4 })
  const { port } = await web.listen('127.0.0.1', 0)
  const held: Socket[] = []
  for (let i = 0; i < 4; i++) {
    const isBody = i % 2 === 0
    const body =
      'POST /api/v1/session HTTP/1.1\r\nhost: localhost\r\ncontent-length: 500\r\n\r\n{"password":"'
    held.push(await slow(port, isBody ? body : 'GET / HTTP/1.1\r\nx-slow: '))
  }
  for (let i = 0; i < 3; i++) {
    const answer = await fetch(`http://127.0.0.1:${port}/healthz`, { headers: { connection: 'close' } })
    expect(answer.status).toBe(200)
  }
  // The room is used as long as nobody else wants it.
  expect(held.filter(socket => !socket.destroyed).length).toBeGreaterThan(0)
  for (const socket of held) socket.destroy()
  await web.close()
})

it('nobody who was answered makes way for those who say nothing', async () => {
  const { web } = bench({ maxConnections: 2 })
  const { port } = await web.listen('127.0.0.1', 0)
  const known = connect(port, '127.0.0.1')
  const answers: string[] = []
  known.on('data', data => answers.push(String(data)))
  const ask = () => known.write('GET /healthz HTTP/1.1\r\nhost: localhost\r\n\r\n')
  ask()
  await expect.poll(() => answers.join('')).toContain('200 OK')
  const silent = await Promise.all(Array.from({ length: 5 }, () => slow(port, 'G')))
  await expect.poll(() => silent.filter(socket => !socket.destroyed).length).toBe(1)
  answers.length = 0
  ask()
  await expect.poll(() => answers.join('')).toContain('200 OK')
  for (const socket of [known, ...silent]) socket.destroy()
  await web.close()
})
