import { fileURLToPath } from 'node:url'
import type { Logger } from 'pino'
import type { Clock } from './clock.ts'
import { type Led, openedAsJudged } from './crew/led.ts'
import type { Endpoint, Flags } from './flags.ts'
import { reach } from './intake/reach.ts'
import { isLoopback } from './loopback.ts'
import { SeenTopics } from './intake/seen-topics.ts'
import { createTopicScout } from './intake/topic-scout.ts'
import { createDeviceAlarmPost } from './devices/alarm-post.ts'
import { DeviceDesk } from './devices/desk.ts'
import { AdoptedBook } from './devices/adopted-book.ts'
import { bridgeTopics } from './devices/bridges.ts'
import { ConfigBook } from './devices/config-book.ts'
import { createDeviceConfigPost } from './devices/config-post.ts'
import { Heartbeat } from './notify/heartbeat/heartbeat.ts'
import {
  ailmentsBy,
  brokerReached,
  portTakesDevices,
  rulesTick,
  storeKeeps,
  writerLives,
} from './notify/heartbeat/vital-signs.ts'
import { openPush } from './notify/push.ts'
import { openNotify } from './notify/notify.ts'
import { makeDir } from './make-dir.ts'
import { needPassword } from './need-password.ts'
import { newId } from './new-id.ts'
import { connectionRoom, openFilesLimit } from './open-files.ts'
import { othersSensors } from './others-sensors.ts'
import { addressForPeople, ownNames } from './own-addresses.ts'
import { addressesForDevices, keepReachedAt } from './reached-at.ts'
import { registryOver } from './registry.ts'
import { createBridgeWatch } from './devices/bridge-watch.ts'
import { openBooks } from './room/books/books.ts'
import { openCalibrating } from './room/calibrating.ts'
import { openFeeding } from './room/feeding/feeding.ts'
import { pantryOf } from './room/feeding/pantry.ts'
import { Guests } from './room/handover/guests.ts'
import { ThreadDesk } from './room/handover/thread-desk.ts'
import { ThreadTryOuts } from './replay/desk.ts'
import { ThreadSooner } from './replay/sooner/desk.ts'
import { openRoom } from './room/room.ts'
import { HEARTBEAT } from './rules/system/channel-failing.ts'
import { takingIn } from './taking-in.ts'
import { BackupKeeper } from './store/backups/keeper.ts'
import { isDatabase, openStoreAt, placeOf } from './store/open-at.ts'
import { Certificates } from './tls/certificates.ts'
import { createWeb } from './web/web.ts'

/** How often time alone is let act: delays that end, devices that fell silent. */
const TICK_MS = 1000

export interface Running {
  readonly http: Endpoint
  /** `null` when readings come from an external broker. */
  readonly mqtt: Endpoint | null
  /** Where devices that cannot encrypt connect, beside `mqtt`. */
  readonly clear: Endpoint | null
  /** What phones and boards are to trust, with its fingerprint; `null` where nothing is encrypted, or by the owner's certificate. */
  readonly authority: { readonly fingerprint: string } | null
  /** What keeps the service from its work in a way that starting anew may mend; `null` when it does its work. */
  readonly ailment: () => Promise<string | null>
  /** Whether pages and link are encrypted. */
  readonly encrypted: boolean
  /** Stops in the order of a reading's way, so that nothing is taken in that cannot be kept. */
  close(): Promise<void>
}

/**
 * Opens the store, wires the rooms of the house to each other, and listens. Whatever was opened is closed if a later part fails. With
 * `led` the store is another's to open and close, and readings are judged as they come from it.
 */
export async function start(
  flags: Flags,
  parts: { clock: Clock; random: () => number; logger: Logger },
  led: Led | null = null,
): Promise<Running> {
  const { clock, logger } = parts
  const opened: (() => Promise<void> | void)[] = []
  const close = async (): Promise<void> => {
    for (const undo of opened.splice(0).reverse()) await undo()
  }
  try {
    const place = placeOf(flags.dataDir, flags.storeUrl, process.env)
    if (!isDatabase(place)) makeDir(flags.dataDir)
    const store =
      led?.store ??
      (await openStoreAt(place, {
        access: 'service',
        clock,
        logger,
        backupsDir: flags.backupsDir,
        gatherMs: flags.gatherMs,
      }))
    if (led === null) opened.push(() => store.close())
    const rescue = 'rescue' in store ? store.rescue : null
    if (rescue !== null) logger.error(rescue, 'the database was damaged; a backup took its place')
    const backups =
      flags.backupsDir === null || !('backup' in store)
        ? null
        : new BackupKeeper({ store, dataDir: flags.dataDir, dir: flags.backupsDir, clock, logger })
    if (backups !== null) opened.push(() => backups.close())

    const tls =
      flags.tlsDir === null ? null : await Certificates.open({ dir: flags.tlsDir, clock, hosts: ownNames })
    const signIn = !isLoopback(flags.http.host)
    await needPassword(flags, store)

    const { clockSpeed } = flags
    const monotonicMs = () => performance.now()
    const {
      room,
      outlet,
      keeping,
      judge,
      keepMemories,
      tick,
      readyAhead,
      delivery,
      backup,
      restored,
      remindAlso,
      correctBy,
      followDevices,
      paired,
      ailments,
      settled,
    } = await openedAsJudged(led, () => openRoom({ store, clock, logger, newId, monotonicMs, clockSpeed }))
    opened.push(() => settled())
    if (rescue !== null) restored({ ofMs: rescue.restoredAtMs, keptIn: rescue.keptIn })
    const books = openBooks({ store, room, clock, newId, logger, remindAlso })
    const calibrating = await openCalibrating({ store, room, clock, newId, remindAlso, correctBy })
    const registry = registryOver(store, (name, password) => bridgeTopics(store, name, password), {
      clock,
      logger,
      // Before the new connection counts as its own.
      onNewSecret: device => {
        own?.expel(device)
        followDevices().catch((error: unknown) =>
          logger.error({ error }, 'the list of devices could not be read'),
        )
      },
    })
    const connections = connectionRoom(openFilesLimit())
    if (connections.words !== null) logger.warn({}, connections.words)
    const seen = new SeenTopics()
    const adoptions = await AdoptedBook.open({ store, newId, onChange: () => foreign?.follow() })
    const { own, foreign } = takingIn(flags, {
      registry,
      outlet,
      keeping,
      clock,
      adoptions,
      seen,
      logger,
      tls,
      maxConnections: connections.devices,
      led,
      onUp: () => tellDevices(),
    })
    const publish = (topic: string, payload: string) =>
      (own ?? foreign)!.publish(topic, payload, { retain: true })
    const devices = new DeviceDesk({
      store,
      room,
      clock,
      listChanged: followDevices,
      paired,
      ...(own ? { expel: (device: string) => own.expel(device) } : {}),
      publish: (topic, payload) => (own ?? foreign)!.publish(topic, payload),
      // The firmware speaks in the clear alone.
      addresses: () => (tls ? [] : addressesForDevices(http, listening)),
    })
    const deviceAlarms = createDeviceAlarmPost({ room, publish, logger })
    const deviceSettings = await ConfigBook.open({ store, onChange: device => deviceConfigs.changed(device) })
    const deviceConfigs = createDeviceConfigPost({ room, book: deviceSettings, publish, logger })
    const tellDevices = (): void => {
      deviceAlarms.tellAll()
      deviceConfigs.tellAll()
    }
    const scout =
      flags.mqttUrl === null ? null : createTopicScout({ url: flags.mqttUrl, seen, clock, logger })
    opened.push(() => scout?.close())
    const others = othersSensors({
      store,
      seen,
      book: adoptions,
      clock,
      onLook: () => scout?.ask(),
      expel: name => own?.expel(name),
    })
    const watchBridges = createBridgeWatch({ store, clock, expel: name => own?.expel(name) })
    const intakeStats = () => {
      const { clients, ...rest } = (own ?? foreign)!.stats()
      return { ...(led?.stats() ?? rest), clients }
    }

    let mqttPort: number | null = null
    let ownUrl: string | null = null
    const push = await openPush({ store, room, clock, logger })
    const notify = await openNotify({
      store,
      room,
      clock,
      random: parts.random,
      newId,
      logger,
      ownUrl: () => ownUrl,
      channels: [push.channel],
      onChannel(report) {
        logger.warn(report, 'a way to reach people changed')
        delivery(report.kind, report.failing ? report.words : null)
      },
    })
    opened.push(() => notify.close())
    let lookedAtMs = monotonicMs()
    let listening: Endpoint | null = null
    const heartbeat = await Heartbeat.open({
      store,
      clock,
      monotonicMs,
      random: parts.random,
      logger,
      signs: [
        storeKeeps(store, clock),
        rulesTick(() => lookedAtMs, monotonicMs),
        own ? portTakesDevices(() => listening) : brokerReached(() => intakeStats().clients !== 0),
      ],
      onWatcher: failure => delivery(HEARTBEAT, failure),
    })
    opened.push(() => heartbeat.close())

    const feeding = await openFeeding({
      store,
      room,
      clock,
      newId,
      logger,
      zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
      monotonicMs,
      pantry: pantryOf(books),
    })
    opened.push(() => feeding.close())

    const tryOuts = new ThreadTryOuts({ place, newId, monotonicMs })
    opened.push(() => tryOuts.close())
    const files = new ThreadDesk()
    opened.push(() => files.close())
    const guests = new Guests({ store, clock, desk: files })
    const sooner = new ThreadSooner({ place })
    opened.push(() => sooner.close())
    const web = createWeb({
      room,
      guests,
      files,
      feeding,
      books,
      store,
      calling: notify.desk,
      phones: push.deskOver(notify.desk),
      watcher: heartbeat,
      deviceSettings,
      devices,
      calibrating,
      others,
      clock,
      tryOuts,
      sooner,
      clockSpeed: flags.clockSpeed,
      dashboardDir: fileURLToPath(new URL('../dashboard', import.meta.url)),
      signIn,
      maxConnections: connections.people,
      logger,
      intakeStats,
      connect: () => ({ mqttPort, dataDir: flags.dataDir }),
      ailments: () => [
        ...(foreign && intakeStats().clients === 0 ? ['The MQTT broker cannot be reached.'] : []),
        ...(tls?.failure ? [tls.failure] : []),
        ...(led?.ailments() ?? []),
        ...ailments(),
        ...notify.ailments(),
      ],
      ...(tls && { tls }),
      ...(own ? { mqttSocket: own.handleSocket } : {}),
    })
    opened.push(() => web.close())
    const http = await web.listen(flags.http.host, flags.http.port)
    ownUrl = addressForPeople(http, tls !== null)
    await notify.start()

    const judging = led?.judge({ judge, keepMemories }) ?? null
    // Time alone brings about nothing before what was measured meanwhile has been judged.
    await judging?.caughtUp
    const onTick = (): void => {
      tick()
      judging?.keep()
      lookedAtMs = monotonicMs()
      backups?.tick()
      if (backups !== null) backup(backups.overdue)
      notify.tick()
      feeding.tick()
      readyAhead()
      void tls?.look()
      watchBridges().catch((error: unknown) =>
        logger.error({ error }, 'the list of bridges could not be read'),
      )
    }
    const timer = setInterval(onTick, TICK_MS / Math.min(flags.clockSpeed, 10))
    opened.push(() => clearInterval(timer))

    opened.push(() => own?.close() ?? foreign?.close())
    opened.push(() => deviceAlarms.close())
    opened.push(() => deviceConfigs.close())
    // Revoked from the command line, it is found out from the list.
    room.onChange(change => {
      if (change.kind === 'device-removed') own?.expel(change.device)
      if (change.kind === 'device' && change.device.row.revokedAtMs !== null)
        own?.expel(change.device.row.name)
    })
    const mqtt = (await own?.start(flags.mqtt.host, flags.mqtt.port)) ?? null
    const clear =
      flags.mqttClear && own ? await own.startClear(flags.mqttClear.host, flags.mqttClear.port) : null
    mqttPort = mqtt?.port ?? null
    listening = mqtt
    // A disk that is full is told elsewhere, and keeps nobody from the vessels.
    keepReachedAt(store, tls ? [] : addressesForDevices(http, mqtt)).catch((error: unknown) =>
      logger.warn({ error }, 'commands cannot be told where the service is reached'),
    )
    // What this broker retains is gone with the process; another one tells when it is there.
    if (own) tellDevices()
    if (foreign) await reach(foreign, logger)
    // Of its own, and in real time: were it the timer above, nobody would notice that one stop.
    const pulse = setInterval(() => heartbeat.tick(), TICK_MS)
    opened.push(() => clearInterval(pulse))
    // A full disk or a broker that is away are not mended by a new start; rules that stand still or a dead thread may be.
    const ailment = async () => {
      const signs = [rulesTick(() => lookedAtMs, monotonicMs), writerLives(() => store.canWrite)]
      return (await ailmentsBy(signs))[0] ?? null
    }
    const authority = tls?.authority ? { fingerprint: tls.fingerprint } : null
    return { http, mqtt, clear, encrypted: tls !== null, authority, close, ailment }
  } catch (error) {
    await close()
    throw error
  }
}
