import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { isPassword, passwordSetAt } from '../../broker/password.ts'
import { useLink } from '../../broker/people.ts'
import { run as runCommand } from '../../broker/cli/run.ts'
import { keepReachedAt } from '../../broker/reached-at.ts'
import { registryOver } from '../../broker/registry.ts'
import { secretMatches } from '../../broker/secrets.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'

const root = new URL('../..', import.meta.url).pathname
let dir = ''
let data = ''
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'brinewatch-cli-'))
  data = join(dir, 'data')
})
afterEach(() => rmSync(dir, { recursive: true }))

interface Ran {
  readonly code: number | null
  readonly out: string
  readonly err: string
}

/** Runs the command in this process: a hundred times faster, and all the same but for the edges. */
async function run(args: string[]): Promise<Ran> {
  let out = ''
  let err = ''
  const code = await runCommand(args, {
    nowMs: Date.UTC(2026, 10, 25),
    print: text => void (out += `${text}\n`),
    say: text => void (err += `${text}\n`),
    newPassword: () => Promise.reject(new Error('Nobody types here')),
  })
  return { code, out, err }
}

/** Runs the command as a process of its own, with `input` piped in; the pipe is left open unless it is ended. */
function spawned(args: string[], input = '', { end = true } = {}): Promise<Ran> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ['--import', 'tsx', 'broker/cli.ts', ...args], { cwd: root })
    let out = ''
    let err = ''
    child.stdout.setEncoding('utf8').on('data', (text: string) => (out += text))
    child.stderr.setEncoding('utf8').on('data', (text: string) => (err += text))
    child.on('error', reject)
    child.on('close', code => resolve({ code, out, err }))
    child.stdin.on('error', () => undefined)
    child.stdin.write(input)
    if (end) child.stdin.end()
  })
}
const inData = (...args: string[]) => run(['--data', data, ...args])

/** Exactly one line of JSON on standard output, nothing on standard error. */
function line({ code, out, err }: Ran): Record<string, unknown> {
  expect([code, err]).toEqual([0, ''])
  expect(out).toMatch(/^\{.*\}\n$/)
  return JSON.parse(out) as Record<string, unknown>
}

/** One sentence on standard error, no stack trace, nothing on standard output. */
function sentence({ code, out, err }: Ran, expected: number): string {
  expect([code, out]).toEqual([expected, ''])
  expect(err.trimEnd().split('\n')).toHaveLength(1)
  expect(err).not.toMatch(/\bat .*:\d+/)
  return err
}

describe('device', () => {
  it('add prints one line with a password that the service then accepts', async () => {
    const { device, password, ...rest } = line(await spawned(['--data', data, 'device', 'add', 'bench-1']))
    expect([device, rest]).toEqual(['bench-1', {}])
    const store = await openStore({ dir: data })
    const registry = registryOver(store)
    expect(await registry.verify('bench-1', String(password))).toBe(true)
    expect(await registry.verify('bench-1', `${String(password)}x`)).toBe(false)
    await store.close()
  })

  it('add, list and revoke work while the service has the store open, which sees them at once', async () => {
    const store = await openStore({ dir: data })
    const { password } = line(await spawned(['--data', data, 'device', 'add', 'bench-1']))
    expect(await registryOver(store).verify('bench-1', String(password))).toBe(true)
    expect(line(await inData('device', 'list'))).toMatchObject({ device: 'bench-1' })
    line(await inData('device', 'revoke', 'bench-1'))
    expect(await registryOver(store).verify('bench-1', String(password))).toBe(false)
    expect(line(await inData('device', 'list'))).toMatchObject({ revokedAt: '2026-11-25T00:00:00.000Z' })
    expect(sentence(await inData('device', 'revoke', 'bench-1'), 1)).toContain('bench-1')
    line(await inData('device', 'remove', 'bench-1'))
    expect((await inData('device', 'list')).out).toBe('')
    expect(sentence(await inData('device', 'remove', 'bench-1'), 1)).toContain('bench-1')
    await store.close()
  })

  it('add refuses a name that is taken, and one that cannot be a topic level', async () => {
    await inData('device', 'add', 'bench-1')
    expect(sentence(await inData('device', 'add', 'bench-1'), 1)).toContain('bench-1')
    expect(sentence(await inData('device', 'add', 'a/b'), 2)).toContain('a/b')
  })

  it('rotate makes a password that takes the place of the one before when it is used, in time', async () => {
    const { password: first } = line(await inData('device', 'add', 'bench-1'))
    const { password: second, expiresAt } = line(await inData('device', 'rotate', 'bench-1'))
    const store = await openStore({ dir: data })
    let nowMs = Date.parse(String(expiresAt))
    const replaced: string[] = []
    const registry = registryOver(store, undefined, {
      clock: () => nowMs,
      onNewSecret: device => void replaced.push(device),
      logger: { error: () => undefined },
    })
    // Too late: it is void, and the device goes on as before.
    expect(await registry.verify('bench-1', String(second))).toBe(false)
    nowMs -= 1
    expect(await registry.verify('bench-1', String(first))).toBe(true)
    expect(replaced).toEqual([])
    expect(await registry.verify('bench-1', String(second))).toBe(true)
    expect(replaced).toEqual(['bench-1'])
    expect(await registry.verify('bench-1', String(first))).toBe(false)
    expect(await registry.verify('bench-1', String(second))).toBe(true)
    await store.close()
    expect(sentence(await inData('device', 'rotate', 'bench-2'), 1)).toContain('bench-2')
  })

  it('add --code prints a code, and says what to do with it', async () => {
    const { code, out, err } = await inData('device', 'add', 'bench-1', '--code')
    expect(code).toBe(0)
    expect(JSON.parse(out)).toMatchObject({ device: 'bench-1', code: expect.stringMatching(/^\w{4}-\w{4}$/) })
    expect(err).toContain('--lan')
    const store = await openStore({ dir: data })
    await keepReachedAt(store, ['192.168.1.20:8080'])
    await store.close()
    const again = await inData('device', 'rotate', 'bench-1', '--code')
    const shown = (JSON.parse(again.out) as { code: string }).code.replace('-', '')
    expect(again.err).toContain(`http://192.168.4.1/?code=${shown}&at=192.168.1.20:8080`)
  })

  it('makes the data directory readable by its owner alone', async () => {
    await inData('device', 'add', 'bench-1')
    expect(statSync(data).mode & 0o777).toBe(0o700)
  })
})

describe('token add', () => {
  it('prints one line with a token of which only a hash is kept', async () => {
    const { name, token, ...rest } = line(await inData('token', 'add', 'pager'))
    expect([name, rest]).toEqual(['pager', { role: 'owner' }])
    const store = await openStore({ dir: data })
    const [row, ...others] = await store.tokens()
    await store.close()
    expect(others).toEqual([])
    expect(row?.hash).not.toContain(String(token))
    expect(secretMatches(String(token), row?.hash ?? '')).toBe(true)
  })

  it('is followed by list, which shows no secret, and remove', async () => {
    const { token } = line(await inData('token', 'add', 'pager'))
    const listed = await inData('token', 'list')
    expect(line(listed)).toEqual({ name: 'pager', role: 'owner', addedAt: '2026-11-25T00:00:00.000Z' })
    expect(listed.out).not.toContain(String(token))
    expect(line(await inData('token', 'remove', 'pager'))).toEqual({ name: 'pager', removed: true })
    expect((await inData('token', 'list')).out).toBe('')
    expect(sentence(await inData('token', 'remove', 'pager'), 1)).toContain('pager')
  })
})

describe('token add --role', () => {
  it('gives a token less than everything, and refuses what is no role', async () => {
    expect(line(await inData('token', 'add', 'wall', '--role', 'viewer'))).toMatchObject({ role: 'viewer' })
    const store = await openStore({ dir: data })
    expect((await store.tokens()).map(({ role }) => role)).toEqual(['viewer'])
    await store.close()
    expect(sentence(await inData('token', 'add', 'wall', '--role', 'king'), 2)).toContain('king')
    expect(sentence(await inData('device', 'add', 'wall', '--role', 'viewer'), 2)).toContain('--role')
  })
})

describe('person', () => {
  it('add prints the path of a link that the service then takes; list, link and remove follow', async () => {
    await inData('token', 'add', 'first')
    const added = await inData('person', 'add', 'Ann of the night', '--role', 'viewer')
    const { name, role, path } = JSON.parse(added.out) as Record<string, string>
    expect([added.code, name, role]).toEqual([0, 'Ann of the night', 'viewer'])
    const store = await openStore({ dir: data })
    const now = Date.UTC(2026, 10, 25)
    const secret = path?.split('#')[1] ?? ''
    expect(await useLink(store, secret, null, now)).toMatchObject({
      name: 'Ann of the night',
      role: 'viewer',
    })
    expect(await useLink(store, secret, null, now)).toBeNull()
    expect(line(await inData('person', 'list'))).toMatchObject({ name: 'Ann of the night', role: 'viewer' })
    expect(JSON.parse((await inData('person', 'link', 'Ann of the night')).out)).toMatchObject({
      role: 'viewer',
    })
    expect(sentence(await inData('person', 'add', 'Ann of the night'), 1)).toContain('already')
    expect(sentence(await inData('person', 'add', 'Bea', '--role', 'owner'), 1)).toContain('owner')
    line(await inData('person', 'remove', 'Ann of the night'))
    expect(sentence(await inData('person', 'remove', 'Ann of the night'), 1)).toContain('Ann')
    const acts = (await store.audit(9)).map(row => `${row.who}: ${row.act}`)
    await store.close()
    expect(acts).toEqual([
      'the command line: let somebody in no more',
      'the command line: made a new link',
      'the command line: let somebody in',
      'the command line: added a token',
    ])
  })
})

describe('password set', () => {
  async function check(password: string) {
    const store = await openStore({ dir: data })
    try {
      return [await isPassword(store, password), (await passwordSetAt(store)) !== null]
    } finally {
      await store.close()
    }
  }

  it.each(['brine and air\n', 'brine and air', 'brine and air\r\nmore\n'])(
    'takes %j from a pipe',
    async input => {
      const { code, out, err } = await spawned(['--data', data, 'password', 'set'], input)
      expect([code, out]).toEqual([0, ''])
      expect(err).not.toContain('brine and air')
      expect(await check('brine and air')).toEqual([true, true])
      expect(await check('brine and air\n')).toEqual([false, true])
    },
  )

  it('does not wait for a pipe that stays open', async () => {
    expect((await spawned(['--data', data, 'password', 'set'], 'brine and air\n', { end: false })).code).toBe(
      0,
    )
  })

  it.each(['', 'too short', 'x'.repeat(257)])('refuses %j and sets nothing', async input => {
    expect(sentence(await spawned(['--data', data, 'password', 'set'], input), 1)).toContain('10')
    expect(await check(input)).toEqual([false, false])
  })
})

describe('backup and restore', () => {
  it('carry everything to a new directory, while the service runs', async () => {
    const store = await openStore({ dir: data })
    const { password } = line(await inData('device', 'add', 'bench-1'))
    const file = join(dir, 'copy.db')
    expect(line(await inData('backup', file))).toEqual({ backup: file })
    await store.close()

    const other = join(dir, 'other')
    expect(line(await run(['--data', other, 'restore', file]))).toEqual({ restored: other })
    const restored = await openStore({ dir: other })
    expect(await registryOver(restored).verify('bench-1', String(password))).toBe(true)
    await restored.close()
  })

  it('never overwrite anything', async () => {
    await inData('device', 'add', 'bench-1')
    const file = join(dir, 'copy.db')
    writeFileSync(file, 'precious')
    expect(sentence(await inData('backup', file), 1)).toContain(file)
    expect(sentence(await inData('restore', file), 1)).toContain('--data')
    expect(line(await inData('device', 'list'))).toMatchObject({ device: 'bench-1' })
  })

  it('restore refuses what is no backup, and leaves nothing behind', async () => {
    const file = join(dir, 'copy.db')
    expect(sentence(await inData('restore', file), 1)).toContain(file)
    writeFileSync(file, 'not a database, whatever its name says'.repeat(50))
    sentence(await inData('restore', file), 1)
    expect(existsSync(join(data, 'brinewatch.db'))).toBe(false)
    sentence(await inData('device', 'list'), 1)
  })
})

describe('the command line', () => {
  it.each([
    [[], 'which command'],
    [['devise', 'add', 'x'], 'no such command'],
    [['device'], '"device add"'],
    [['device', 'forget', 'x'], '"device revoke"'],
    [['device', 'add'], 'NAME'],
    [['device', 'add', 'a', 'b'], '"b"'],
    [['device', 'list', 'a'], '"a"'],
    [['device', 'list', '--all'], '--all'],
    [['--data'], '--data'],
    [['--data='], '--data'],
  ])('%j is not understood, and says why', async (args, hint) => {
    expect(sentence(await run(args), 2)).toContain(hint)
  })

  it('is a process that exits with 2 when it does not understand, with 1 when it cannot', async () => {
    expect(sentence(await spawned(['devise']), 2)).toContain('no such command')
    expect(sentence(await spawned(['--data', data, 'device', 'list']), 1)).toContain(data)
  })

  it('lists all commands, and explains one', async () => {
    const all = await run(['--help'])
    expect([all.code, all.err]).toEqual([0, ''])
    const names = [
      'device add',
      'device list',
      'device revoke',
      'token add',
      'password set',
      'backup',
      'restore',
    ]
    for (const name of names) {
      expect(all.out).toContain(name)
      const one = await run([...name.split(' '), '--help'])
      expect([one.code, one.err]).toEqual([0, ''])
      expect(one.out).toContain(name)
    }
  })

  it('does not begin a data directory for a command that only looks', async () => {
    for (const args of [
      ['device', 'list'],
      ['device', 'revoke', 'a'],
      ['backup', join(dir, 'b')],
    ]) {
      expect(sentence(await inData(...args), 1)).toContain(data)
    }
    expect(existsSync(data)).toBe(false)
  })

  it('says so when the data cannot be used', async () => {
    writeFileSync(data, 'a file, not a directory')
    sentence(await inData('device', 'add', 'bench-1'), 1)
  })
})

it('export writes out who is fed and what was given beside all else', async () => {
  await (await openStore({ dir: data, exclusive: false, threads: false })).close()
  expect(line(await inData('export', join(dir, 'out')))['files']).toEqual(
    expect.arrayContaining(['vessels.csv', 'cohorts.csv', 'feedings.csv']),
  )
  expect(readFileSync(join(dir, 'out', 'brinewatch.json'), 'utf8')).toMatch(/"cohorts": \[.*"feedings": \[/s)
})

describe('batch export and import', () => {
  it('writes a batch out of one house and brings it in at another, once', async () => {
    const store = await openStore({ dir: data, exclusive: false, threads: false })
    const startedAtMs = Date.UTC(2026, 10, 20, 8)
    const endedAtMs = startedAtMs + 86_400_000
    await store.keepVessel({
      id: 'v1',
      name: 'Cone 1',
      litres: 1,
      createdAtMs: startedAtMs,
      retiredAtMs: null,
    })
    const dose = { litres: 1, cystsG: 2, salinityGpl: 25, lot: null, goal: 'balanced', note: null } as const
    await store.keepBatch({ id: 'b1', vesselId: 'v1', startedAtMs, endedAtMs, ...dose })
    await store.close()
    const before = process.cwd()
    process.chdir(dir)
    try {
      const { file } = line(await inData('batch', 'export', 'b1', '--no-names'))
      expect(file).toBe(join(dir, 'cone-1-2026-11-20.batch.json.gz'))
      expect((await inData('batch', 'export', 'b1')).err).toContain('is there already')
      expect((await inData('batch', 'export', 'b2')).err).toContain('no batch has the id b2')
      expect((await inData('batch', 'import', String(file))).err).toContain("one of this house's own")
      const elsewhere = (...args: string[]) => run(['--data', join(dir, 'elsewhere'), ...args])
      expect(
        line(await elsewhere('batch', 'import', String(file)).then(ran => ({ ...ran, err: '' }))),
      ).toEqual({
        batch: 'b1',
        isNew: true,
      })
      expect(line(await elsewhere('batch', 'import', String(file)))).toEqual({ batch: 'b1', isNew: false })
      expect((await elsewhere('batch', 'import', 'none.gz')).err).toContain('there is no file')
    } finally {
      process.chdir(before)
    }
  })
})
