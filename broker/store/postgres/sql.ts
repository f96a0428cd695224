import pg from 'pg'
import type { PostgresPlace } from './place.ts'

/** Something that statements can be given to. */
export interface Sql {
  /** The rows that it answers with. */
  rows<R>(text: string, values?: readonly unknown[]): Promise<R[]>
}

const INT8_OID = 20

/** Whole numbers of 8 bytes come as numbers: ours stay below 2^53. */
const types = {
  getTypeParser(oid: number, format?: string) {
    if (oid === INT8_OID && format !== 'binary') return (text: string) => Number(text)
    return pg.types.getTypeParser(oid, format as 'text') as unknown as (text: string) => unknown
  },
}

/** Waits no longer for the database to take a connection, ms. */
const CONNECT_MS = 5000
/** A peer that is gone without a word is found out by the system in so long, s: idle, then so many probes apart. */
const KEEPALIVE = { idleS: 5, everyS: 2, times: 3 }

export interface ConnectOptions {
  /** As the database's list of connections shows it. */
  readonly name: string
  readonly readOnly?: boolean
  /** Sends statements without waiting for the answer of the one before. */
  readonly pipeline?: boolean
  /** A statement that takes longer fails, and takes the connection with it, ms. */
  readonly answerMs: number
}

/** How every connection of ours is made. */
export function configOf(place: PostgresPlace, options: ConnectOptions): pg.ClientConfig {
  const settings = [
    `search_path=${place.schema}`,
    // The server's default may be laxer, and then a power cut loses what was acknowledged.
    'synchronous_commit=on',
    `tcp_keepalives_idle=${KEEPALIVE.idleS}`,
    `tcp_keepalives_interval=${KEEPALIVE.everyS}`,
    `tcp_keepalives_count=${KEEPALIVE.times}`,
    `statement_timeout=${options.answerMs}`,
    `default_transaction_read_only=${options.readOnly ? 'on' : 'off'}`,
    'extra_float_digits=3',
  ]
  return {
    connectionString: place.url,
    ...(place.password === null ? {} : { password: place.password }),
    options: settings.map(each => `-c ${each}`).join(' '),
    application_name: `brinewatch ${options.name}`,
    connectionTimeoutMillis: CONNECT_MS,
    query_timeout: options.answerMs + 1000,
    keepAlive: true,
    keepAliveInitialDelayMillis: KEEPALIVE.idleS * 1000,
    types,
    ...(options.pipeline ? { pipeline: true } : {}),
  }
}

/** Statements with the same words are read by the server once a connection; not so what answers other columns each time. */
const NAMED = /^\s*(SELECT|INSERT|UPDATE|DELETE|WITH)\b/
const names = new Map<string, string>()
/** Words are made by us and few; should they not be, the rest goes unnamed. */
const MOST_NAMES = 500

function nameOf(text: string): string | undefined {
  const known = names.get(text)
  if (known !== undefined || names.size >= MOST_NAMES || !NAMED.test(text)) return known
  const name = `s${names.size}`
  names.set(text, name)
  return name
}

export function sqlOver(client: Pick<pg.ClientBase, 'query'>): Sql {
  return {
    async rows<R>(text: string, values: readonly unknown[] = []) {
      const name = nameOf(text)
      const { rows } = await client.query({ text, values: values.map(bind), ...(name ? { name } : {}) })
      return rows as R[]
    },
  }
}

/** A text cannot hold NUL, whatever a client sends as a name. */
function bind(value: unknown): unknown {
  if (typeof value === 'string' && value.includes('\0')) return value.replaceAll('\0', '\ufffd')
  if (value instanceof Uint8Array && !Buffer.isBuffer(value))
    return Buffer.from(value.buffer, value.byteOffset, value.byteLength)
  return value
}

/** Runs the work in one transaction. */
export async function inTransaction<T>(
  client: pg.ClientBase,
  begin: string,
  work: (sql: Sql) => Promise<T>,
): Promise<T> {
  await client.query(begin)
  try {
    const result = await work(sqlOver(client))
    await client.query('COMMIT')
    return result
  } catch (error) {
    // Where the connection is gone, the transaction is too.
    await client.query('ROLLBACK').catch(() => undefined)
    throw error
  }
}

/** A list of numbers as PostgreSQL writes arrays. */
export function numbers(list: readonly (number | null)[]): string {
  return `{${list.map(each => each ?? 'NULL').join(',')}}`
}
