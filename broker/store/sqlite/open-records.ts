import type { Records } from '../records.ts'
import { AccessRecords } from './access-records.ts'
import { AlarmRecords } from './alarm-records.ts'
import { AuditRecords } from './audit-records.ts'
import { BookRecords } from './book-records.ts'
import type { Db } from './database.ts'
import { DeliveryRecords } from './delivery-records.ts'
import { EventRecords } from './event-records.ts'
import { OtherRecords } from './other-records.ts'
import { VesselRecords } from './vessel-records.ts'
import { WatchRecords } from './watch-records.ts'

/** All that is read from the file beside readings. */
export function openRecords(db: Db): Records {
  const vessels = new VesselRecords(db)
  const events = new EventRecords(db)
  const alarms = new AlarmRecords(db)
  const people = new AccessRecords(db)
  const others = new OtherRecords(db)
  const audit = new AuditRecords(db)
  const deliveries = new DeliveryRecords(db)
  const books = new BookRecords(db)
  const watch = new WatchRecords(db)
  return {
    quarantine: (limit, beforeId) => others.quarantine(limit, beforeId),
    ruleMemory: () => alarms.memory(),
    standingAlarms: () => alarms.standing(),
    alarms: query => alarms.list(query),
    watchLog: query => watch.list(query),
    vessels: () => vessels.vessels(),
    assignments: () => vessels.assignments(),
    batches: query => vessels.batches(query),
    batch: id => vessels.batch(id),
    lots: () => vessels.lots(),
    batchEvents: batchId => events.list(batchId),
    waitingDeliveries: () => deliveries.waiting(),
    deliveries: limit => deliveries.newest(limit),
    tellings: () => deliveries.tellings(),
    document: key => others.document(key),
    records: kind => books.records(kind),
    entries: book => books.entries(book),
    photo: id => books.photo(id),
    photoTotals: batchId => books.photoTotals(batchId),
    eventsOfKind: (kind, sinceMs) => books.eventsOfKind(kind, sinceMs),
    devices: () => people.devices(),
    deviceSecret: name => people.deviceSecret(name),
    deviceSecrets: name => people.deviceSecrets(name),
    tokens: () => people.tokens(),
    session: hash => people.session(hash),
    sessions: () => people.sessions(),
    audit: (limit, beforeId) => audit.list(limit, beforeId),
  }
}
