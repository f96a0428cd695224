import pg from 'pg'
import type { Clock } from '../../clock.ts'
import { StoreError, StoreErrorCode } from '../contract.ts'
import { type StoreLogger, SILENT } from '../logger.ts'
import { toStoreError } from './errors.ts'
import { Holding } from './holding.ts'
import { Lock } from './locks.ts'
import { checkServer, migrate, needVersion } from './migrate.ts'
import { Names } from './names.ts'
import { type PostgresPlace, wordsOf } from './place.ts'
import { Pools } from './pools.ts'
import { PgAccess, PostgresStore } from './postgres-store.ts'
import { Seen } from './seen.ts'
import { configOf } from './sql.ts'
import type { Position } from './position.ts'
import { ledByAnother, PgWriter } from './writer.ts'

export interface OpenPostgresOptions {
  readonly place: PostgresPlace
  readonly access: PgAccess
  /** Without one, ended alarms are not dropped by age. */
  readonly clock?: Clock
  readonly logger?: StoreLogger
  /** How long readings may gather before they are committed and so acknowledged, ms. */
  readonly gatherMs?: number
  /** Of the leader: under which number it leads, and up to where has been judged. */
  readonly lead?: { readonly epoch: number; readonly judged: Position; readonly isLost: () => boolean }
}

/** What brings a schema up to date may take so long, ms. */
const MIGRATE_MS = 30 * 60_000

const monotonicMs = (): number => performance.now()

/** Opens the store in a PostgreSQL database. Rejects with a StoreError; nothing is left open or locked then. */
export async function openPostgresStore(options: OpenPostgresOptions): Promise<PostgresStore> {
  const { place, access, clock = null, logger = SILENT, gatherMs = 0 } = options
  const readOnly = access === PgAccess.reading
  const holding = access === PgAccess.service ? new Holding(place, Lock.lead, monotonicMs) : null
  const pools = new Pools(place, readOnly)
  const names = new Names()
  const seen = new Seen()
  const { lead } = options
  const refuses = (): StoreError | null => {
    if (lead?.isLost()) return ledByAnother()
    return holding !== null && !holding.isHeld ? notHeld() : null
  }
  const writer = new PgWriter({ place, names, monotonicMs, refuses, ...(lead && { epoch: lead.epoch }) })
  try {
    await prepare(place, readOnly)
    if (holding !== null && !(await holding.take())) throw inUse(place)
    // Judged where they are taken in: whoever leads after this begins behind them.
    if (holding !== null) await pools.sql.rows('UPDATE lead SET tx = NULL, id = NULL')
    if (!readOnly) await writer.reach()
    const keepsReadings = !readOnly && access !== PgAccess.tool
    if (keepsReadings) await names.load(pools.sql)
    if (access === PgAccess.service) await seen.load(pools.sql)
    return new PostgresStore({
      access,
      schema: place.schema,
      writer,
      pools,
      names,
      seen,
      clock,
      logger,
      gatherMs,
      judged: lead?.judged ?? null,
      unlock: async () => holding?.close(),
    })
  } catch (error) {
    await Promise.all([holding?.close(), pools.close(), writer.close()])
    throw toStoreError(`open the store in ${wordsOf(place)}`, error)
  }
}

async function prepare(place: PostgresPlace, readOnly: boolean): Promise<void> {
  const client = new pg.Client(configOf(place, { name: 'opening', readOnly, answerMs: MIGRATE_MS }))
  // What is lost meanwhile is told of by the statement that was asked.
  client.on('error', () => undefined)
  await client.connect()
  try {
    if (readOnly) await needVersion(client, place.schema)
    else {
      await checkServer(client)
      await migrate(client, place.schema)
    }
  } finally {
    await client.end().catch(() => undefined)
  }
}

/** Nobody else took it over, as far as is known: it may have been the database that ended. */
function notHeld(): StoreError {
  return new StoreError(
    StoreErrorCode.failed,
    'Cannot keep what came in: the connection that makes this the only service is lost; it is taken again by itself',
  )
}

function inUse(place: PostgresPlace): StoreError {
  return new StoreError(
    StoreErrorCode.inUse,
    `Cannot open the store: ${wordsOf(place)} must have one service only, unless all take their readings from one broker ` +
      `(--mqtt-url); stop the first, or give this one another schema (?schema=NAME)`,
  )
}
