import { createServer } from 'node:net'
import { expect, it } from 'vitest'
import { run } from '../../../broker/cli/run.ts'

async function typed(...args: string[]) {
  const printed: string[] = []
  const said: string[] = []
  const status = await run(args, {
    nowMs: 0,
    print: line => void printed.push(line),
    say: line => void said.push(line),
    newPassword: () => Promise.reject(new Error('not asked')),
  })
  return { status, printed: printed.join('\n'), said: said.join('\n') }
}

it.each([
  [['device', 'check'], /needs a NAME/],
  [['device', 'check', 'no name'], /1 to 63 letters/],
  [['device', 'check', 'cone-1', '--mqtt', 'nowhere'], /HOST:PORT/],
  [['device', 'list', '--json'], /does not take --json/],
  [['token', 'add', 'x', '--mqtt', '127.0.0.1:1'], /does not take --mqtt/],
])('does not understand %j', async (args, words) => {
  expect(await typed(...args)).toMatchObject({ status: 2, said: expect.stringMatching(words) })
})

it('tells its flags', async () => {
  const { status, printed } = await typed('device', 'check', '--help')
  expect(status).toBe(0)
  expect(printed).toContain('device check NAME [--json] [--mqtt HOST:PORT]')
  expect(printed).toMatch(/--mqtt HOST:PORT {2}where it listens/)
  expect(printed).toMatch(/--json {2,}one line of JSON/)
  expect(printed).toMatch(/two and a half minutes, 8 at most/)
})

it('says so when the port is taken, and how to take another', async () => {
  const other = createServer()
  await new Promise<void>(resolve => other.listen(0, '127.0.0.1', resolve))
  const { port } = other.address() as { port: number }
  const { status, said } = await typed('device', 'check', 'cone-1', '--mqtt', `127.0.0.1:${port}`)
  expect(status).toBe(1)
  expect(said).toMatch(new RegExp(`${port}.*--mqtt`))
  other.close()
})
