import { statSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { bridgeTopics, BRIDGES_LIMIT } from '../../broker/devices/bridges.ts'
import { createBridgeWatch } from '../../broker/devices/bridge-watch.ts'
import { keepReachedAt } from '../../broker/reached-at.ts'
import { registryOver } from '../../broker/registry.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { freshPlace, inData, line, NOW_MS, place, run, sentence, spawned } from './rig.ts'

freshPlace()

describe('device', () => {
  it('add prints one line with a password that the service then accepts', async () => {
    const { device, password, ...rest } = line(
      await spawned(['--data', place.data, 'device', 'add', 'bench-1']),
    )
    expect([device, rest]).toEqual(['bench-1', {}])
    const store = await openStore({ dir: place.data })
    const registry = registryOver(store)
    expect(await registry.verify('bench-1', String(password))).toBe(true)
    expect(await registry.verify('bench-1', `${String(password)}x`)).toBe(false)
    await store.close()
  })

  it('add, list and revoke work while the service has the store open, which sees them at once', async () => {
    const store = await openStore({ dir: place.data })
    const { password } = line(await spawned(['--data', place.data, 'device', 'add', 'bench-1']))
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
    const store = await openStore({ dir: place.data })
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
    const store = await openStore({ dir: place.data })
    await keepReachedAt(store, ['192.168.1.20:8080'])
    await store.close()
    const again = await inData('device', 'rotate', 'bench-1', '--code')
    const shown = (JSON.parse(again.out) as { code: string }).code.replace('-', '')
    expect(again.err).toContain(`http://192.168.4.1/?code=${shown}&at=192.168.1.20:8080`)
  })

  it('makes the data directory readable by its owner alone', async () => {
    await inData('device', 'add', 'bench-1')
    expect(statSync(place.data).mode & 0o777).toBe(0o700)
  })
})

describe('bridge', () => {
  const add = (name: string, ...topics: string[]) =>
    inData('bridge', 'add', name, ...topics.flatMap(topic => ['--topic', topic]))

  it('add prints one line with a password that opens these topics and is kept as a hash', async () => {
    const { bridge, password, topics } = line(
      await add('house', 'home/shelf/#', 'garden/+/t', 'home/shelf/#'),
    )
    expect([bridge, topics]).toEqual(['house', ['home/shelf/#', 'garden/+/t', 'home/shelf/#']])
    const store = await openStore({ dir: place.data })
    expect(await bridgeTopics(store, 'house', String(password))).toEqual(['home/shelf/#', 'garden/+/t'])
    expect(await bridgeTopics(store, 'house', `${String(password)}x`)).toBeUndefined()
    expect(JSON.stringify(await store.records('bridge'))).not.toContain(String(password))
    await store.close()
  })

  it('list shows name and topics and no secret; remove ends its password at once', async () => {
    const store = await openStore({ dir: place.data })
    const { password } = line(await add('house', 'home/#'))
    const listed = await inData('bridge', 'list')
    expect(line(listed)).toEqual({
      bridge: 'house',
      topics: ['home/#'],
      addedAt: '2026-11-25T00:00:00.000Z',
    })
    expect(listed.out).not.toContain(String(password))
    expect(line(await inData('bridge', 'remove', 'house'))).toEqual({ bridge: 'house', removed: true })
    expect(await bridgeTopics(store, 'house', String(password))).toBeUndefined()
    expect((await inData('bridge', 'list')).out).toBe('')
    expect(sentence(await inData('bridge', 'remove', 'house'), 1)).toContain('house')
    await store.close()
  })

  it.each([
    [[], 2, '--topic'],
    [['home/#/more'], 1, 'no topic filter'],
    [['brinewatch/v1/bench-1/measurements'], 1, "brinewatch's"],
    [['$SYS/#'], 1, "broker's own"],
    [Array.from({ length: 17 }, (_, i) => `home/${i}`), 1, '16'],
  ])('add refuses the topics %j', async (topics, code, hint) => {
    await inData('token', 'add', 'first')
    expect(sentence(await add('house', ...topics), code)).toContain(hint)
    expect((await inData('bridge', 'list')).out).toBe('')
  })

  it('add refuses a name that is taken by a bridge or a device, and one that is none', async () => {
    line(await add('house', 'home/#'))
    line(await inData('device', 'add', 'bench-1'))
    expect(sentence(await add('house', 'home/#'), 1)).toContain('house')
    expect(sentence(await add('bench-1', 'home/#'), 1)).toContain('bench-1')
    expect(sentence(await add('a/b', 'home/#'), 2)).toContain('a/b')
  })

  it(`add refuses one more than ${BRIDGES_LIMIT}`, async () => {
    for (let i = 0; i < BRIDGES_LIMIT; i++) line(await add(`house-${i}`, 'home/#'))
    expect(sentence(await add('one-more', 'home/#'), 1)).toContain(String(BRIDGES_LIMIT))
  })

  it('that was removed, or removed and added anew, loses the connection it has', async () => {
    const store = await openStore({ dir: place.data })
    let nowMs = NOW_MS
    const expelled: string[] = []
    const look = createBridgeWatch({ store, clock: () => nowMs, expel: name => void expelled.push(name) })
    const lookLater = () => {
      nowMs += 3000
      return look()
    }
    line(await add('house', 'home/#'))
    line(await add('shed', 'shed/#'))
    await look()
    line(await inData('bridge', 'remove', 'house'))
    await look()
    expect(expelled).toEqual([])
    await lookLater()
    await lookLater()
    expect(expelled).toEqual(['house'])
    const [row] = (await store.records('bridge')).filter(({ id }) => id === 'shed')
    await store.keepRecord({ ...row!, createdAtMs: row!.createdAtMs + 1 })
    await lookLater()
    expect(expelled).toEqual(['house', 'shed'])
    await store.close()
  })
})

it('the audit log has what was done at the command line, and no secret', async () => {
  const secrets: unknown[] = []
  const done = async (...args: string[]) => {
    const { password, code } = JSON.parse((await inData(...args)).out) as Record<string, unknown>
    secrets.push(...[password, code].filter(secret => secret !== undefined))
  }
  await done('device', 'add', 'bench-1')
  await done('device', 'add', 'bench-2', '--code')
  await done('device', 'rotate', 'bench-1')
  await done('device', 'revoke', 'bench-1')
  await done('device', 'remove', 'bench-1')
  await done('bridge', 'add', 'house', '--topic', 'home/#')
  await done('bridge', 'remove', 'house')
  await done('export', `${place.dir}/out`)
  await done('backup', `${place.dir}/copy.db`)
  const store = await openStore({ dir: place.data })
  const rows = await store.audit(99)
  await store.close()
  expect(rows.every(row => row.who === 'the command line' && !row.failed)).toBe(true)
  expect(rows.reverse().map(row => `${row.act}: ${row.subject}`)).toEqual([
    'let a device in: bench-1',
    'let a device in: bench-2',
    'made a code for a device: bench-2',
    'made a new password for a device: bench-1',
    'revoked a device: bench-1',
    'took a device off the list: bench-1',
    'let a bridge in: house',
    'let a bridge in no more: house',
    `wrote everything out: ${place.dir}/out`,
    `made a backup: ${place.dir}/copy.db`,
  ])
  expect(secrets).toHaveLength(4)
  for (const secret of secrets) expect(JSON.stringify(rows)).not.toContain(secret)
})

it('what was restored begins with a line that says of what', async () => {
  line(await inData('device', 'add', 'bench-1'))
  line(await inData('backup', `${place.dir}/copy.db`))
  const dir = `${place.dir}/other`
  line(await run(['--data', dir, 'restore', `${place.dir}/copy.db`]))
  const store = await openStore({ dir })
  expect((await store.audit(1)).map(row => `${row.act}: ${row.subject}`)).toEqual([
    `began from a backup: ${place.dir}/copy.db`,
  ])
  await store.close()
})
