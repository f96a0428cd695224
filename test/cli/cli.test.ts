import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { isPassword, passwordSetAt } from '../../broker/password.ts'
import { useLink } from '../../broker/people.ts'
import { registryOver } from '../../broker/registry.ts'
import { secretMatches } from '../../broker/secrets.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { freshPlace, inData, line, place, run, sentence, spawned } from './rig.ts'

freshPlace()

describe('token add', () => {
  it('prints one line with a token of which only a hash is kept', async () => {
    const { name, token, ...rest } = line(await inData('token', 'add', 'pager'))
    expect([name, rest]).toEqual(['pager', { role: 'owner' }])
    const store = await openStore({ dir: place.data })
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
    const store = await openStore({ dir: place.data })
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
    const store = await openStore({ dir: place.data })
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
    const store = await openStore({ dir: place.data })
    try {
      return [await isPassword(store, password), (await passwordSetAt(store)) !== null]
    } finally {
      await store.close()
    }
  }

  it.each(['brine and air\n', 'brine and air', 'brine and air\r\nmore\n'])(
    'takes %j from a pipe',
    async input => {
      const { code, out, err } = await spawned(['--data', place.data, 'password', 'set'], input)
      expect([code, out]).toEqual([0, ''])
      expect(err).not.toContain('brine and air')
      expect(await check('brine and air')).toEqual([true, true])
      expect(await check('brine and air\n')).toEqual([false, true])
    },
  )

  it('does not wait for a pipe that stays open', async () => {
    expect(
      (await spawned(['--data', place.data, 'password', 'set'], 'brine and air\n', { end: false })).code,
    ).toBe(0)
  })

  it.each(['', 'too short', 'x'.repeat(257)])('refuses %j and sets nothing', async input => {
    expect(sentence(await spawned(['--data', place.data, 'password', 'set'], input), 1)).toContain('10')
    expect(await check(input)).toEqual([false, false])
  })
})

describe('backup and restore', () => {
  it('carry everything to a new directory, while the service runs', async () => {
    const store = await openStore({ dir: place.data })
    const { password } = line(await inData('device', 'add', 'bench-1'))
    const file = join(place.dir, 'copy.db')
    expect(line(await inData('backup', file))).toEqual({ backup: file })
    await store.close()

    const other = join(place.dir, 'other')
    expect(line(await run(['--data', other, 'restore', file]))).toEqual({ restored: other })
    const restored = await openStore({ dir: other })
    expect(await registryOver(restored).verify('bench-1', String(password))).toBe(true)
    await restored.close()
  })

  it('never overwrite anything', async () => {
    await inData('device', 'add', 'bench-1')
    const file = join(place.dir, 'copy.db')
    writeFileSync(file, 'precious')
    expect(sentence(await inData('backup', file), 1)).toContain(file)
    expect(sentence(await inData('restore', file), 1)).toContain('--data')
    const nowhere = join(place.dir, 'nowhere', 'copy.db')
    expect(sentence(await inData('backup', nowhere), 1)).toMatch(
      /there is no folder .*nowhere; make it first/,
    )
    expect(line(await inData('device', 'list'))).toMatchObject({ device: 'bench-1' })
  })

  it('restore refuses what is no backup, and leaves nothing behind', async () => {
    const file = join(place.dir, 'copy.db')
    expect(sentence(await inData('restore', file), 1)).toContain(file)
    writeFileSync(file, 'not a database, whatever its name says'.repeat(50))
    sentence(await inData('restore', file), 1)
    expect(existsSync(join(place.data, 'brinewatch.db'))).toBe(false)
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
    expect(sentence(await spawned(['--data', place.data, 'device', 'list']), 1)).toContain(place.data)
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
      ['backup', join(place.dir, 'b')],
    ]) {
      expect(sentence(await inData(...args), 1)).toContain(place.data)
    }
    expect(existsSync(place.data)).toBe(false)
  })

  it('says so when the data cannot be used', async () => {
    writeFileSync(place.data, 'a file, not a directory')
    sentence(await inData('device', 'add', 'bench-1'), 1)
  })
})

it('export writes out who is fed and what was given beside all else', async () => {
  await (await openStore({ dir: place.data, exclusive: false, threads: false })).close()
  expect(line(await inData('export', join(place.dir, 'out')))['files']).toEqual(
    expect.arrayContaining(['vessels.csv', 'cohorts.csv', 'feedings.csv']),
  )
  expect(readFileSync(join(place.dir, 'out', 'brinewatch.json'), 'utf8')).toMatch(
    /"cohorts": \[.*"feedings": \[/s,
  )
})

describe('batch export and import', () => {
  it('writes a batch out of one house and brings it in at another, once', async () => {
    const store = await openStore({ dir: place.data, exclusive: false, threads: false })
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
    process.chdir(place.dir)
    try {
      const { file } = line(await inData('batch', 'export', 'b1', '--no-names'))
      expect(file).toBe(join(place.dir, 'cone-1-2026-11-20.batch.json.gz'))
      expect((await inData('batch', 'export', 'b1')).err).toContain('is there already')
      const named = join(place.dir, 'bad-night.gz')
      expect(line(await inData('batch', 'export', 'b1', 'bad-night.gz'))).toEqual({
        batch: 'b1',
        file: named,
      })
      expect((await inData('batch', 'export', 'b1', named)).err).toContain('is there already')
      expect((await inData('batch', 'export', 'b1', 'no/where.gz')).err).toContain('there is no folder')
      expect((await inData('batch', 'export', 'b1', 'a.gz', 'b.gz')).err).toContain('one word too many')
      expect((await inData('batch', 'export', '--help')).out).toContain('batch export ID [FILE]')
      expect((await inData('batch', 'export', 'b2')).err).toContain('no batch has the id b2')
      expect((await inData('batch', 'import', String(file))).err).toContain("one of this house's own")
      const elsewhere = (...args: string[]) => run(['--data', join(place.dir, 'elsewhere'), ...args])
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
