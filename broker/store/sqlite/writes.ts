import type { RecordWrites, WorkOf, Write } from '../writes.ts'
import { AccessRecords } from './access-records.ts'
import { AlarmRecords } from './alarm-records.ts'
import { AuditRecords } from './audit-records.ts'
import { BookRecords } from './book-records.ts'
import type { Db } from './database.ts'
import { DeliveryRecords } from './delivery-records.ts'
import { EventRecords } from './event-records.ts'
import { OtherRecords } from './other-records.ts'
import { type ChannelRow, type Frame, type NewBoot, type Packing, ReadingWrites } from './reading-writes.ts'
import { VesselRecords } from './vessel-records.ts'
import { WatchRecords } from './watch-records.ts'

/** What can be done to the file, and what comes back: plain data, because it is mostly done on another thread. */
export interface Writes extends RecordWrites {
  frame: Write<Frame>
  speaker: Write<{ readonly id: number; readonly name: string }>
  channel: Write<ChannelRow>
  boot: Write<NewBoot>
  forgetBoot: Write<number>
  packing: Write<Packing>
  /** Moves so many pages at most out of the file; answers how many it could still give back. */
  giveBack: Write<number, number>
}
export type WriteKind = keyof Writes

/** One thing to be done. */
export type Work = WorkOf<Writes>

export type Do = (work: Work) => Writes[WriteKind]['answer']

/** Prepares all that can be done to a file. */
export function openWrites(db: Db): Do {
  const readings = new ReadingWrites(db)
  const vessels = new VesselRecords(db)
  const events = new EventRecords(db)
  const alarms = new AlarmRecords(db)
  const people = new AccessRecords(db)
  const others = new OtherRecords(db)
  const audit = new AuditRecords(db)
  const deliveries = new DeliveryRecords(db)
  const books = new BookRecords(db)
  const watch = new WatchRecords(db)
  const writes: { readonly [K in WriteKind]: (what: Writes[K]['what']) => Writes[K]['answer'] } = {
    frame: frame => readings.addFrame(frame),
    speaker: speaker => readings.addSpeaker(speaker),
    channel: channel => readings.addChannel(channel),
    boot: boot => readings.addBoot(boot),
    forgetBoot: id => readings.forgetBoot(id),
    packing: packing => readings.pack(packing),
    giveBack: pages => readings.giveBack(pages),

    vessel: row => vessels.keepVessel(row),
    assignment: row => vessels.keepAssignment(row),
    batch: row => vessels.keepBatch(row),
    discardBatch: ({ id, atMs }) => vessels.discardBatch(id, atMs),
    batchEvent: event => events.keep(event),
    alarm: alarm => alarms.keep(alarm),
    watch: row => watch.keep(row),
    dropEndedAlarms: beforeMs => {
      alarms.dropEndedBefore(beforeMs)
      watch.dropBefore(beforeMs)
    },
    ruleMemory: memory => alarms.keepMemory(memory),
    document: ({ key, json }) => others.keepDocument(key, json),
    quarantine: entry => others.keepQuarantine(entry),
    delivery: delivery => deliveries.keep(delivery),
    telling: telling => deliveries.keepTelling(telling),
    record: record => books.keepRecord(record),
    dropRecord: key => books.dropRecord(key),
    entry: entry => books.keepEntry(entry),
    photo: photo => books.keepPhoto(photo),

    device: device => people.addDevice(device),
    revoke: ({ name, atMs }) => people.revokeDevice(name, atMs),
    removeDevice: ({ name, atMs }) => people.removeDevice(name, atMs),
    offerSecret: offer => people.offerDeviceSecret(offer),
    takeSecret: ({ name, secretHash }) => people.takeDeviceSecret(name, secretHash),
    token: token => people.keepToken(token),
    dropToken: name => people.dropToken(name),
    session: session => people.keepSession(session),
    dropSession: hash => people.dropSession(hash),
    dropExpiredSessions: nowMs => people.dropExpiredSessions(nowMs),
    audit: line => audit.keep(line),
  }
  return ({ kind, what }) => (writes[kind] as (what: unknown) => Writes[WriteKind]['answer'])(what)
}
