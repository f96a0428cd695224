import mqtt from 'mqtt'
import Database from 'better-sqlite3'

/**
 * What a person would put together in an evening: subscribes at QoS 1, and writes a row for each reading into SQLite. Started by
 * `assembly.ts` with the broker's port, the database's file, and how many messages go into one commit at most.
 */
const [port, file, batchText] = process.argv.slice(2)
const batch = Number(batchText)
/** A batch that is not full is committed after so long, ms. */
const BATCH_MS = 100

interface Row {
  readonly topic: string
  readonly name: string
  readonly value: number | null
  readonly atMs: number
}

const db = new Database(file)
db.pragma('journal_mode = WAL')
// As durable as what it is held against.
db.pragma('synchronous = FULL')
db.exec('CREATE TABLE reading (id INTEGER PRIMARY KEY, at_ms INTEGER, topic TEXT, name TEXT, value REAL)')
const insert = db.prepare('INSERT INTO reading (at_ms, topic, name, value) VALUES (?, ?, ?, ?)')
const keep = db.transaction((rows: readonly Row[]) => {
  for (const { atMs, topic, name, value } of rows) insert.run(atMs, topic, name, value)
})

let stored = 0
let waiting: Row[] = []
let messages = 0
const flush = (): void => {
  if (messages === 0) return
  keep(waiting)
  stored += messages
  waiting = []
  messages = 0
}
if (batch > 1) setInterval(flush, BATCH_MS)

const client = mqtt.connect(`mqtt://127.0.0.1:${port}`, { clientId: 'logger', clean: true })
client.on('connect', () => {
  client.subscribe('brinewatch/v1/+/measurements', { qos: 1 }, () => process.send!('ready'))
})
client.on('message', (topic, payload) => {
  const atMs = Date.now()
  for (const { n, v } of JSON.parse(payload.toString()) as { n: string; v?: number }[])
    if (v !== undefined && n !== 'seq') waiting.push({ topic, name: n, value: v, atMs })
  messages++
  if (messages >= batch) flush()
})
process.on('message', () => process.send!(stored))
process.on('disconnect', () => process.exit(0))
