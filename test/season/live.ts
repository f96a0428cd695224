import pino from 'pino'
import { Quality, Quantity, type Reading, UNIT_KEPT } from '../../broker/intake/reading.ts'
import type { BatchEventBody } from '../../broker/room/event-contract.ts'
import type { Room } from '../../broker/room/contract.ts'
import { eachSample, packed } from '../../broker/room/handover/columns.ts'
import type { HandedOver } from '../../broker/room/handover/format.ts'
import { handOver } from '../../broker/room/handover/write.ts'
import { openRoom } from '../../broker/room/room.ts'
import type { Sample } from '../../broker/store/contract.ts'
import { hiddenAt, HOUR_MS } from '../blame/played.ts'
import { writeDown } from '../blame/keeper.ts'
import { fullStore } from '../replay/full-store.ts'
import type { PlannedBatch } from './plan.ts'
import { VESSELS } from './plan.ts'

const MINUTE_MS = 60_000
/** The room looks after itself so often, and devices speak so often. */
export const TICK_MS = MINUTE_MS
export const FORECAST_EVERY_MS = 20 * MINUTE_MS
const KEEPER = 'Invented keeper'
/** What is handed over of the time around a batch. */
const AROUND_MS = 2 * HOUR_MS
/** The air is off so long before the count of the harvest. */
const AIR_OFF_MS = 13 * MINUTE_MS
/** Of the last so many something is in the refrigerator still. */
const HELD_OF_LAST = 3

interface Doing {
  readonly atMs: number
  readonly act: (room: Room) => unknown
}

/** The season lived through by a real room, with every rule, and a keeper who answers; each batch as the file it becomes. */
export async function liveSeason(batches: readonly PlannedBatch[], program: string): Promise<HandedOver[]> {
  const store = fullStore()
  let nowMs = Math.min(...batches.map(({ played }) => played.startedAtMs)) - HOUR_MS
  let ids = 0
  const { room, outlet, tick } = await openRoom({
    store,
    clock: () => nowMs,
    newId: () => `season-${(ids++).toString(36).padStart(4, '0')}`,
    logger: pino({ level: 'warn' }),
    forecastEveryMs: FORECAST_EVERY_MS,
  })
  const vesselIds: string[] = []
  for (const { name, litres, device } of VESSELS) {
    const { row } = await room.createVessel({ name, litres })
    vesselIds.push(row.id)
    const on = (channel: string) => ({ device, channel })
    const channels = { water: on('water'), room: on('room'), air: on('air'), light: on('light') }
    await room.assignChannels(row.id, { channels, offsets: {} })
  }
  const made: string[] = []
  const doings: Doing[] = batches.flatMap((batch, at) =>
    doingsOf(
      batch,
      at >= batches.length - HELD_OF_LAST,
      vesselIds[batch.vessel]!,
      id => (made[at] = id),
      () => made[at]!,
    ),
  )
  room.onChange(change => {
    if (change.kind !== 'alarm' || !change.raised) return
    const { id } = change.alarm
    doings.push({
      atMs: nowMs + answerAfterMs(nowMs, id),
      act: room => room.acknowledge(id, KEEPER).catch(() => undefined),
    })
    doings.sort((a, b) => a.atMs - b.atMs)
  })
  doings.sort((a, b) => a.atMs - b.atMs)
  const samples = batches.map(measured)
  const next = batches.map(() => 0)
  const endMs =
    Math.max(...batches.map(({ played, harvestH }) => played.startedAtMs + harvestH * HOUR_MS)) + 3 * HOUR_MS
  for (; nowMs < endMs; nowMs += TICK_MS) {
    for (const [at, batch] of batches.entries()) {
      const mine = samples[at]!
      const readings: Reading[] = []
      for (; next[at]! < mine.length && mine[next[at]!]!.atMs <= nowMs; next[at]!++)
        readings.push(mine[next[at]!]!)
      const { device } = VESSELS[batch.vessel]!
      // A reading each two minutes is enough to look at; a device that measures is heard more often.
      if (readings.length > 0)
        outlet.pack({ device, boot: null, seq: null, receivedAtMs: nowMs, readings }, () => undefined)
      else if (next[at]! > 0 && (mine[next[at]!]?.atMs ?? Infinity) - nowMs < 2 * TICK_MS)
        outlet.report({ device, online: true, receivedAtMs: nowMs })
    }
    while (doings[0] && doings[0].atMs <= nowMs) await doings.shift()!.act(room)
    tick()
    await new Promise(resolve => setImmediate(resolve))
  }
  const files: HandedOver[] = []
  for (const id of made) files.push(cut(await handOver(store, id, { nowMs, program })))
  return files
}

/** From a minute by day to two hours at night; always the same for the same alarm. */
function answerAfterMs(atMs: number, id: string): number {
  const hour = new Date(atMs).getUTCHours()
  const spread = (Array.from(id).reduce((sum, letter) => sum + letter.charCodeAt(0), 0) % 10) / 10
  return (hour >= 7 && hour < 23 ? 2 + 14 * spread : 15 + 100 * spread) * MINUTE_MS
}

/** With the last digits that a device would send. */
const DIGITS = { water: 4, room: 4, air: 3, light: 0 } as const

function measured({ played, harvestH }: PlannedBatch): Reading[] {
  const harvestMs = played.startedAtMs + harvestH * HOUR_MS
  const endMs = harvestMs + HOUR_MS
  // The vessel was played without a harvest: what the keeper writes down of the air is what the sensor shows.
  const isOff = (role: string, atMs: number) => role === 'air' && atMs >= harvestMs - AIR_OFF_MS
  return (['water', 'room', 'air', 'light'] as const)
    .flatMap(role =>
      (played.readings[role] ?? [])
        .filter(({ atMs }) => atMs <= endMs)
        .map(({ atMs, value, quality }) => ({
          channel: role,
          quantity: Quantity[role],
          unit: UNIT_KEPT[role],
          value: value === null ? null : isOff(role, atMs) ? 0 : Number(value.toFixed(DIGITS[role])),
          quality: quality ?? Quality.good,
          atMs: Math.round(atMs),
        })),
    )
    .sort((a, b) => a.atMs - b.atMs)
}

/** What the keeper does with one batch, from the pouring in to the end. */
function doingsOf(
  { lot, played, harvestH, random }: PlannedBatch,
  holds: boolean,
  vesselId: string,
  onStart: (id: string) => void,
  id: () => string,
): Doing[] {
  const { setting, startedAtMs } = played
  const { scenario } = setting
  const at = (hours: number) => startedAtMs + hours * HOUR_MS
  const harvestMs = at(harvestH)
  const said = writeDown(played, harvestH, random)
  const write = (atMs: number, event: BatchEventBody): Doing => ({
    atMs,
    act: room => room.recordEvent(id(), { ...event, atMs: Math.round(atMs), by: KEEPER }),
  })
  const count = said.counts?.[0]
  const litres = scenario.litres
  const nauplii = count ? Math.round((count.nauplii / count.sampledMl) * litres * 1000) : null
  const looks = hiddenAt(played, harvestH).nauplii
  return [
    {
      atMs: startedAtMs,
      async act(room) {
        const { id } = await room.startBatch({
          vesselId,
          startedAtMs,
          litres,
          cystsG: Number((scenario.cystsGpl * litres).toFixed(1)),
          salinityGpl: Number((setting.writtenGpl ?? scenario.salinityGpl).toFixed(0)),
          lot,
          note: 'Invented for the demo',
        })
        onStart(id)
      },
    },
    write(at(4.6 + random.uniform()), { kind: 'ring-knocked-down' }),
    ...(said.pH ?? []).map(({ atMs, pH }) => write(atMs, { kind: 'ph', ph: Number(pH.toFixed(1)) })),
    ...(said.salinity ?? []).map(({ gpl }) =>
      write(at(0.3), { kind: 'salinity', salinityGpl: Number(gpl.toFixed(0)), how: 'refractometer' }),
    ),
    ...(said.waterChecked ?? []).map(({ atMs, waterC }) =>
      write(atMs, { kind: 'temperature', waterC: Number(waterC.toFixed(1)) }),
    ),
    ...(said.firstSwimmersAtMs === undefined
      ? []
      : [write(said.firstSwimmersAtMs, { kind: 'first-swimmers' })]),
    {
      atMs: harvestMs - 14 * MINUTE_MS,
      act: room => room.suppress(vesselId, { reason: 'harvest', forMs: 25 * MINUTE_MS, by: KEEPER }),
    },
    write(harvestMs - AIR_OFF_MS, { kind: 'air-off' }),
    write(harvestMs - 12 * MINUTE_MS, { kind: 'light-below' }),
    write(harvestMs - 2 * MINUTE_MS, { kind: 'drawn-off' }),
    ...(count
      ? [
          write(harvestMs, {
            kind: 'count',
            harvest: true,
            samples: drops(count.nauplii, count.umbrella ?? 0, count.embryos ?? 0, count.sampledMl),
          }),
        ]
      : []),
    ...(looks > 0.1
      ? [
          write(harvestMs, {
            kind: 'taken',
            for: 'fed',
            nauplii: nauplii && Math.round(nauplii * 0.7),
            share: 0.7,
            coldC: null,
            energyLeft: null,
            firstOutAtMs: null,
          }),
          ...(holds
            ? [
                write(harvestMs + MINUTE_MS / 2, {
                  kind: 'taken',
                  for: 'held',
                  nauplii: nauplii && Math.round(nauplii * 0.3),
                  share: 0.3,
                  coldC: 4,
                  energyLeft: null,
                  firstOutAtMs: null,
                }),
              ]
            : []),
        ]
      : [write(harvestMs, { kind: 'note', text: 'Hardly anything swims. Thrown away.' })]),
    {
      atMs: harvestMs + MINUTE_MS,
      act: room => room.endBatch(id(), { endedAtMs: Math.round(harvestMs + MINUTE_MS) }),
    },
  ]
}

/** Six drops, as alike as whole numbers let them be. */
function drops(nauplii: number, umbrella: number, embryos: number, sampledMl: number) {
  const share = (total: number, drop: number) => Math.floor((total + drop) / 6)
  return Array.from({ length: 6 }, (_, drop) => ({
    sampleMl: sampledMl / 6,
    nauplii: share(nauplii, drop),
    umbrella: share(umbrella, 5 - drop),
    embryos: share(embryos, (drop + 3) % 6),
  }))
}

/** Without what the vessel measured before and after: other files have that. */
function cut(file: HandedOver): HandedOver {
  const { startedAtMs, endedAtMs } = file.batch
  const [fromMs, toMs] = [startedAtMs - AROUND_MS, (endedAtMs ?? Infinity) + AROUND_MS]
  const channels = file.channels.map(channel => {
    const samples: Sample[] = []
    eachSample(channel, sample => {
      if (sample.atMs >= fromMs && sample.atMs < toMs) samples.push(sample)
    })
    return {
      ...channel,
      fromMs: Math.max(channel.fromMs, startedAtMs - 24 * HOUR_MS),
      readings: packed(channel.role, samples, startedAtMs),
    }
  })
  const watch = file.watch.filter(
    row => row.kind !== 'began' && row.kind !== 'settings' && row.vesselId !== null,
  )
  return { ...file, channels, watch }
}
