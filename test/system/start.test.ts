import { spawn, spawnSync } from 'node:child_process'
import { chmodSync, readFileSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { brinewatch, freshDir, removeDir, startProgram, until } from './program.ts'

const root = fileURLToPath(new URL('../..', import.meta.url))
const main = fileURLToPath(new URL('../../dist/broker/main.js', import.meta.url))

let dir: string
beforeEach(() => {
  dir = freshDir()
})
afterEach(() => removeDir(dir))

/** Starts the program with flags that keep it from starting, and gives back what it said. */
function refused(...flags: string[]): { status: number | null; stderr: string } {
  return spawnSync(process.execPath, [main, '--data', dir, '--mqtt', '127.0.0.1:0', ...flags], {
    encoding: 'utf8',
    timeout: 15_000,
  })
}

describe('starting', () => {
  it.each([
    [['--http', 'nonsense'], /HOST:PORT/],
    [['--clock-speed', '0'], /1 to 3600/],
    [['--mqtt-url', 'nowhere'], /mqtt:\/\//],
    [['--unknown'], /--unknown/],
    [['--lan', '--http', '127.0.0.1:8080'], /--lan/],
  ])('says what is wrong with %j', (flags, words) => {
    const { status, stderr } = refused(...flags)
    expect(status).toBe(2)
    expect(stderr).toMatch(words)
    expect(stderr).toMatch(/Usage/)
    expect(stderr).not.toMatch(/^\s+at /m)
  })

  it('does not start for other machines without a password, and says how to set one', () => {
    const { status, stderr } = refused('--http', '0.0.0.0:0')
    expect(status).toBe(1)
    expect(stderr).toContain(`--data ${dir} password set`)
  })

  it('asks for sign-in once it is bound beyond loopback', async () => {
    const set = spawnSync(
      process.execPath,
      [main.replace('main.js', 'cli.js'), '--data', dir, 'password', 'set'],
      {
        input: 'a password of this test\n',
        encoding: 'utf8',
      },
    )
    expect(set.status).toBe(0)
    const token = JSON.parse(brinewatch(dir, 'token', 'add', 'script').stdout) as { token: string }
    const program = await startProgram(dir, ['--http', '0.0.0.0:0'])
    const url = program.http
    expect(url).toMatch(/127\.0\.0\.1/)
    const get = (headers: Record<string, string>) => fetch(`${url}/api/v1/vessels`, { headers })
    expect((await get({})).status).toBe(401)
    expect((await get({ authorization: `Bearer ${token.token}` })).status).toBe(200)
    const signIn = (password: string) =>
      fetch(`${url}/api/v1/session`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ password }),
      })
    expect((await signIn('a wrong password')).status).toBe(401)
    const signedIn = await signIn('a password of this test')
    expect(signedIn.status).toBeLessThan(300)
    const cookie = signedIn.headers.getSetCookie()[0]!
    expect(cookie).toMatch(/HttpOnly/i)
    expect(cookie).toMatch(/SameSite=Strict/i)
    expect((await get({ cookie: cookie.split(';')[0]! })).status).toBe(200)
    expect(await program.stop()).toBe(0)
  })

  it.each(['/proc/brinewatch', '/dev/null/brinewatch'])('says so when no data can be kept in %s', place => {
    const { status, stderr } = spawnSync(process.execPath, [main, '--data', place, '--http', '127.0.0.1:0'], {
      encoding: 'utf8',
      timeout: 15_000,
    })
    expect(status).toBe(1)
    expect(stderr).toContain(place)
    expect(stderr).toMatch(/--data/)
  })

  it('names the flag when a port is taken', async () => {
    const other = createServer()
    await new Promise<void>(resolve => other.listen(0, '127.0.0.1', resolve))
    const { port } = other.address() as { port: number }
    expect(refused('--http', `127.0.0.1:${port}`)).toMatchObject({
      status: 1,
      stderr: expect.stringMatching(new RegExp(`${port}.*--http`)),
    })
    expect(refused('--http', '127.0.0.1:0', '--mqtt', `127.0.0.1:${port}`)).toMatchObject({
      status: 1,
      stderr: expect.stringMatching(new RegExp(`${port}.*--mqtt`)),
    })
    other.close()
  })

  it('refuses a second service on the same data, and leaves the first alone', async () => {
    const program = await startProgram(dir)
    const { status, stderr } = refused('--http', '127.0.0.1:0')
    expect(status).toBe(1)
    expect(stderr).not.toMatch(/^\s+at /m)
    expect((await program.api('GET', '/healthz')).status).toBe(200)
    await program.kill()
    const again = await startProgram(dir)
    expect(await again.stop()).toBe(0)
  })

  it('stops within 5 s when npm start gets SIGTERM', async () => {
    const npm = spawn(
      'npm',
      ['start', '--', '--data', dir, '--http', '127.0.0.1:0', '--mqtt', '127.0.0.1:0'],
      {
        cwd: root,
        stdio: ['ignore', 'pipe', 'ignore'],
      },
    )
    const url = await new Promise<string>(resolve => {
      let out = ''
      npm.stdout.on('data', (bytes: Buffer) => {
        out += bytes.toString()
        const found = /brinewatch ready: (\S+)/.exec(out)?.[1]
        if (found) resolve(found)
      })
    })
    expect((await fetch(`${url}/healthz`)).status).toBe(200)
    const from = Date.now()
    npm.kill('SIGTERM')
    const answers = () =>
      fetch(`${url}/healthz`).then(
        () => true,
        () => false,
      )
    expect(await until(answers, serves => !serves)).toBe(false)
    expect(Date.now() - from).toBeLessThan(5000)
    // It let go of its data, too.
    const next = await startProgram(dir)
    expect(await next.stop()).toBe(0)
  })
})

describe('under systemd', () => {
  it('says that it is ready, that it does its work, and that it stops, in the words of sd_notify(3)', async () => {
    const heard = join(dir, 'heard')
    const notify = join(dir, 'systemd-notify')
    writeFileSync(heard, '')
    writeFileSync(notify, `#!/bin/sh\necho "$1" >> '${heard}'\n`)
    chmodSync(notify, 0o755)
    const before = { ...process.env }
    Object.assign(process.env, {
      PATH: `${dir}:${process.env.PATH}`,
      NOTIFY_SOCKET: join(dir, 'notify'),
      WATCHDOG_USEC: '2000000',
    })
    try {
      const program = await startProgram(dir)
      const words = async () => readFileSync(heard, 'utf8').split('\n')
      expect(await until(words, said => said.filter(word => word === 'WATCHDOG=1').length >= 2)).toEqual(
        expect.arrayContaining(['READY=1', 'WATCHDOG=1']),
      )
      expect(await program.stop()).toBe(0)
      expect(await until(words, said => said.includes('STOPPING=1'))).toContain('STOPPING=1')
    } finally {
      for (const name of ['NOTIFY_SOCKET', 'WATCHDOG_USEC']) delete process.env[name]
      process.env.PATH = before.PATH
    }
  })
})
