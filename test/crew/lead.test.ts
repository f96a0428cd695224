import pg from 'pg'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { JudgingLoop } from '../../broker/crew/judging-loop.ts'
import { Claim, type Lead } from '../../broker/store/postgres/lead.ts'
import { Lock } from '../../broker/store/postgres/locks.ts'
import { readPlace } from '../../broker/store/postgres/place.ts'
import { BEGINNING } from '../../broker/store/postgres/position.ts'
import { PgAccess, type PostgresStore } from '../../broker/store/postgres/postgres-store.ts'
import { Seats } from '../../broker/store/postgres/seats.ts'
import { pack, START_MS } from '../store/examples.ts'
import { type Cluster, postgresPrograms, startCluster, WHY_SKIPPED } from '../store/postgres/cluster.ts'
import { postgresPlace, type PostgresTestPlace } from '../store/postgres/place.ts'

const monotonicMs = () => performance.now()
const ME = { worker: 'ann', address: 'http://ann' }
const silent = { error: () => undefined } as never

describe.skipIf(postgresPrograms() === null)(`the lead of several workers (${WHY_SKIPPED})`, () => {
  let cluster: Cluster
  let place: PostgresTestPlace
  let keeping: PostgresStore
  const opened: { close(): Promise<void> }[] = []
  beforeAll(async () => {
    cluster = await startCluster()
  })
  afterAll(() => cluster.stop())
  beforeEach(async () => {
    place = await postgresPlace(cluster)
    keeping = mine(await place.open(undefined, { access: PgAccess.worker }))
    await cluster.sql(
      `INSERT INTO ${place.schema}.lead (epoch, worker, address, tx, id) VALUES (0, '', '', '0', 0)
       ON CONFLICT (one) DO UPDATE SET epoch = 0, tx = '0', id = 0`,
    )
  })
  afterEach(async () => {
    await Promise.all(opened.splice(0).map(each => each.close()))
    await place.dispose()
  })
  function mine<T extends { close(): Promise<void> }>(each: T): T {
    opened.push(each)
    return each
  }
  const claim = () => mine(new Claim(readPlace(place.url), monotonicMs))
  const leaderStore = async (lead: Lead, isLost = () => lead.isLost) =>
    mine(
      await place.open(undefined, {
        access: PgAccess.leader,
        lead: { epoch: lead.epoch, judged: lead.position, isLost },
      }),
    )
  const pause = (ms: number) => new Promise(resolve => setTimeout(resolve, ms))
  async function until(passes: () => boolean): Promise<void> {
    for (let tries = 0; tries < 200 && !passes(); tries++)
      await new Promise(resolve => setTimeout(resolve, 20))
    expect(passes()).toBe(true)
  }
  const numbers = (found: { pack: { seq: number | null } }[]) => found.map(({ pack: { seq } }) => seq)

  it('is one’s alone, goes with its connection, and is then the next one’s', async () => {
    const [a, b] = [claim(), claim()]
    const first = (await a.take(ME))!
    expect(await b.take({ worker: 'bo', address: '' })).toBeNull()
    expect(await b.leader()).toEqual(ME)
    let lost = 0
    first.onLost(() => lost++)
    await cluster.sql(
      `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'brinewatch leading'
         AND pid IN (SELECT pid FROM pg_locks WHERE locktype = 'advisory' AND objid = 1 AND granted)`,
    )
    await until(() => first.isLost)
    expect(lost).toBe(1)
    const second = (await b.take({ worker: 'bo', address: '' }))!
    expect(second.epoch).toBe(first.epoch + 1)
  })

  it('lets an earlier leader write nothing more, though that has not noticed', async () => {
    const [a, b] = [claim(), claim()]
    const first = (await a.take(ME))!
    const store = await leaderStore(first, () => false)
    await store.keepDocument('d', '1')
    a.drop()
    await until(() => true)
    let second: Lead | null = null
    for (let tries = 0; tries < 100 && second === null; tries++) second = await b.take(ME)
    expect(second).not.toBeNull()
    await expect(store.keepDocument('d', '2')).rejects.toMatchObject({ code: 'in-use' })
    expect(await store.document('d')).toBe('1')
    await (await leaderStore(second!)).keepDocument('d', '3')
    expect(await store.document('d')).toBe('3')
  })

  it('is taken from one that hangs, and left to one that judges nothing yet', async () => {
    const [living, seats] = [
      claim(),
      mine(new Seats(readPlace(place.url), { monotonicMs, onLost: () => {} })),
    ]
    const lead = (await living.take(ME))!
    // A process that is stopped keeps its connection, and asks nothing.
    const stopped = new pg.Client({ connectionString: cluster.url(), application_name: 'stopped' })
    stopped.on('error', () => undefined)
    await stopped.connect()
    const hold = (schema: string) =>
      stopped.query(`SELECT pg_advisory_lock_shared(hashtext('brinewatch ${schema}'), ${Lock.presence})`)
    await hold('another_room')
    await pause(3000)
    // That one belongs to another room, and the leader says every other second that it lives.
    expect(await seats.endHung(2.5)).toEqual([])
    await hold(place.schema)
    expect(await seats.endHung(2.5)).toEqual([])
    await pause(2600)
    expect(await seats.endHung(2.5)).toEqual(['stopped'])
    expect(lead.isLost).toBe(false)
  })

  it('reads what all keep in one order, and nothing before all that may still come before it', async () => {
    const lead = (await claim().take(ME))!
    await keeping.keepPack(pack(1))
    const [first] = await lead.next(BEGINNING, 9)
    expect(first!.pack).toEqual(pack(1))
    // Another worker's transaction has written a row, and is slow to commit.
    const slow = new pg.Client({ connectionString: cluster.url() })
    await slow.connect()
    try {
      await slow.query('BEGIN')
      await slow.query(
        `INSERT INTO ${place.schema}.pack (speaker, boot, seq, received_ms, from_ms, to_ms, body)
         SELECT speaker, boot, 2, received_ms, from_ms, to_ms, body FROM ${place.schema}.pack`,
      )
      await keeping.keepPack(pack(3))
      expect(await lead.next(first!.position, 9)).toEqual([])
      expect(await lead.waiting(first!.position)).toBe(pack(3).receivedAtMs)
      await slow.query('COMMIT')
    } finally {
      await slow.end()
    }
    expect(numbers(await lead.next(first!.position, 9))).toEqual([2, 3])
    expect(numbers(await lead.next(first!.position, 1))).toEqual([2])
  })

  it('keeps how far it judged with what the rules remember of that, in one commit', async () => {
    const a = claim()
    const lead = (await a.take(ME))!
    const store = await leaderStore(lead)
    const judged: (number | null)[] = []
    let remembered = 0
    const remember = () => void store.keepRuleMemory({ vesselId: 'v1', json: `${remembered}` })
    const loop = new JudgingLoop({
      lead,
      store,
      room: {
        judge({ seq }) {
          judged.push(seq)
          remembered = seq!
          // A step of an alarm: kept at once, in the middle of a slice.
          if (seq === 3) remember()
        },
        keepMemories() {
          remember()
          return true
        },
      },
      clock: () => START_MS,
      logger: silent,
    })
    await Promise.all([1, 2, 3, 4, 5].map(seq => keeping.keepPack(pack(seq))))
    await until(() => judged.length === 5)
    await loop.close()
    await store.settled()
    a.drop()
    // The next one goes on from there: what the rules remember is of the same moment.
    let next: Lead | null = null
    for (let tries = 0; tries < 100 && next === null; tries++) next = await claim().take(ME)
    const [memory] = await keeping.ruleMemory()
    const rest = numbers(await next!.next(next!.position, 9))
    expect([...Array.from({ length: Number(memory!.json) }, (_, n) => n + 1), ...rest]).toEqual([
      1, 2, 3, 4, 5,
    ])
    expect(rest).not.toContain(3)
  })

  it('moves nothing into chunks that has not been judged, and shows the room as it was when it was', async () => {
    const lead = (await claim().take(ME))!
    const store = await leaderStore(lead)
    for (const seq of [1, 2]) await keeping.keepPack(pack(seq))
    const [, second] = await lead.next(BEGINNING, 9)
    await store.keepJudged(second!.position)
    await keeping.keepPack(pack(3))
    store.readUpTo(second!.position)
    expect((await store.latest()).map(({ value }) => value)).toEqual([27 + 2 / 16])
    store.readUpTo(null)
    await store.seal('bench-1')
    expect(numbers(await lead.next(second!.position, 9))).toEqual([3])
    expect((await store.latest()).map(({ value }) => value)).toEqual([27 + 3 / 16])
  })

  it('goes on where data came from a server that had counted its transactions further', async () => {
    for (const seq of [1, 2]) await keeping.keepPack(pack(seq))
    const rows = `${place.schema}.pack`
    await cluster.sql(
      `UPDATE ${rows} SET tx = '900000000'::xid8 WHERE seq = 1; UPDATE ${rows} SET tx = '900000001'::xid8 WHERE seq = 2`,
    )
    await cluster.sql(
      `UPDATE ${place.schema}.lead SET tx = '900000000', id = (SELECT id FROM ${rows} WHERE seq = 1)`,
    )
    const lead = (await claim().take(ME))!
    await keeping.keepPack(pack(3))
    const all = await lead.next(lead.position, 9)
    expect(numbers(all)).toEqual([2, 3])
  })

  it('begins behind what a service judged that took in alone', async () => {
    await keeping.keepPack(pack(1))
    const service = await place.open()
    await service.keepPack(pack(2))
    await service.close()
    const lead = (await claim().take(ME))!
    await keeping.keepPack(pack(3))
    expect(numbers(await lead.next(lead.position, 9))).toEqual([3])
  })

  it('shares out seats: none is two workers’, and those of one that ends are free', async () => {
    const lost: string[] = []
    const seats = (name: string) =>
      mine(new Seats(readPlace(place.url), { monotonicMs, onLost: () => lost.push(name) }))
    const [a, b] = [seats('a'), seats('b')]
    expect(await a.workers()).toBe(1)
    expect(await b.workers()).toBe(2)
    expect(await a.workers()).toBe(2)
    expect([await a.take(0), await b.take(0), await b.take(1)]).toEqual([true, false, true])
    await a.close()
    let got = false
    for (let tries = 0; tries < 100 && !got; tries++) got = await b.take(0)
    expect(got).toBe(true)
    expect(await b.workers()).toBe(1)
  })
})
