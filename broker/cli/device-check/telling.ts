import type { IPublishPacket } from 'mqtt-packet'
import { quantityOf, toKeptUnit, unitsOf } from '../../../firmware-protocol/channels.ts'
import { deviceState, MAX_STATE_BYTES } from '../../../firmware-protocol/device-state.ts'
import { decodePack, PackError, type Pack } from '../../../firmware-protocol/pack.ts'
import { ABSOLUTE_FROM_S } from '../../../firmware-protocol/senml.ts'
import { topicOf } from '../../../firmware-protocol/topics.ts'
import type { Heard } from './bench.ts'
import { found, unseen, Verdict, type Finding } from './finding.ts'

export interface Told {
  readonly atMs: number
  readonly connection: number
  readonly isUnanswered: boolean
  readonly packet: IPublishPacket
  /** `null` when it cannot be read. */
  readonly pack: Pack | null
  readonly why: string | null
}

const bytesOf = ({ payload }: IPublishPacket): Uint8Array =>
  typeof payload === 'string' ? Buffer.from(payload) : payload

const published = (heard: readonly Heard[]) =>
  heard.flatMap(({ packet, ...where }) =>
    packet.cmd === 'publish' ? [{ isUnanswered: false, ...where, packet }] : [],
  )

/** What came on the topic of measurements, read as the service reads it. */
export function packsOf(device: string, heard: readonly Heard[]): Told[] {
  return published(heard)
    .filter(({ packet }) => packet.topic === topicOf(device, 'measurements'))
    .map(each => {
      try {
        return { ...each, pack: decodePack(bytesOf(each.packet)), why: null }
      } catch (error) {
        if (!(error instanceof PackError)) throw error
        return { ...each, pack: null, why: error.message }
      }
    })
}

/** What the device says of itself, oldest first; what cannot be read is left out. */
export function statesOf(device: string, heard: readonly Heard[]) {
  return published(heard).flatMap(({ atMs, packet }) => {
    if (packet.topic !== topicOf(device, 'state')) return []
    const state = stateOf(packet)
    return typeof state === 'string' ? [] : [{ atMs, state }]
  })
}

function stateOf(packet: IPublishPacket) {
  const bytes = bytesOf(packet)
  if (bytes.length > MAX_STATE_BYTES) return `it has ${bytes.length} bytes, ${MAX_STATE_BYTES} at most`
  try {
    const read = deviceState.safeParse(JSON.parse(Buffer.from(bytes).toString()))
    if (read.success) return read.data
    const [issue] = read.error.issues
    return `${issue?.path.join('.') ?? ''}: ${issue?.message ?? ''}`
  } catch {
    return 'it is no JSON'
  }
}

/** What the device sends, and how. */
export function judgeTelling(device: string, heard: readonly Heard[]): Finding[] {
  const all = published(heard)
  const own = [topicOf(device, 'measurements'), topicOf(device, 'state')]
  const foreign = all.find(({ packet }) => !own.includes(packet.topic))
  return [
    found(
      'topics',
      'Writes to its measurements and its state alone',
      foreign ? `it wrote to ${foreign.packet.topic}` : null,
      `${all.length} messages`,
    ),
    ...judgeState(device, heard),
    ...judgePacks(packsOf(device, heard)),
  ]
}

function judgeState(device: string, heard: readonly Heard[]): Finding[] {
  const asks = 'Tells its state as JSON, QoS 1, retained, on every connect'
  const states = published(heard).filter(({ packet }) => packet.topic === topicOf(device, 'state'))
  if (states.length === 0) return [found('state', asks, 'it told none', '')]
  let problem: string | null = null
  for (const { packet } of states) {
    const state = stateOf(packet)
    if (typeof state === 'string') problem ??= state
    if (!packet.retain) problem ??= 'it is not retained'
    if (packet.qos !== 1) problem ??= `its QoS is ${packet.qos}`
  }
  const connections = new Set(published(heard).map(({ connection }) => connection))
  for (const { connection } of states) connections.delete(connection)
  if (connections.size > 0) problem ??= `on ${connections.size} connections it told none`
  const known = statesOf(device, heard).at(-1)?.state
  const lacks = (['firmware', 'uptimeS', 'backlog', 'rssiDbm', 'resetReason'] as const).filter(
    field => known?.[field] === undefined,
  )
  return [
    found('state', asks, problem, `${states.length} times`),
    found(
      'state.fields',
      'Tells firmware, uptime, backlog, signal and the reason of its last start',
      lacks.length > 0 ? `it leaves out ${lacks.join(', ')}` : null,
      'all of them',
      Verdict.better,
    ),
  ]
}

function judgePacks(told: readonly Told[]): Finding[] {
  if (told.length === 0) return [found('measurements', 'Sends packs of readings', 'it sent none', '')]
  const packs = told.flatMap(({ pack }) => (pack ? [pack] : []))
  const unread = told.find(({ why }) => why !== null)?.why ?? null
  const rejected = packs.flatMap(pack => pack.rejected)[0]?.detail ?? null
  const wrongWay = told.find(({ packet }) => packet.qos !== 1 || packet.retain)
  const withUptime = packs.filter(pack => pack.uptimeS !== null).length
  return [
    found(
      'measurements',
      'Sends packs of readings as SenML that can be read, every record of it',
      unread ?? rejected,
      `${packs.length} packs`,
    ),
    found(
      'measurements.qos',
      'Sends packs with QoS 1, never retained',
      wrongWay
        ? `one had QoS ${wrongWay.packet.qos}${wrongWay.packet.retain ? ' and was retained' : ''}`
        : null,
      'all of them',
    ),
    found(
      'measurements.units',
      'Gives each known quantity a unit that it has',
      unitProblem(packs),
      'all of them',
    ),
    found(
      'measurements.times',
      'Times are seconds before the moment of sending, or Unix time',
      timeProblem(told),
      'none in the future',
    ),
    found(
      'measurements.numbers',
      'Each pack has boot and seq, and seq counts by one',
      numberProblem(packs),
      'without a gap',
    ),
    found(
      'measurements.uptime',
      'Each pack of this power-up tells uptime',
      withUptime === 0 ? 'none tells it; behind another broker, late packs are then misplaced' : null,
      `${withUptime} packs do`,
      Verdict.better,
    ),
    inFlight(told),
  ]
}

function unitProblem(packs: readonly Pack[]): string | null {
  for (const { name, unit, value } of packs.flatMap(pack => pack.measurements)) {
    const quantity = quantityOf(name)
    if (quantity === undefined || typeof value !== 'number') continue
    if (toKeptUnit(quantity, unit, value) === undefined)
      return `${name} has ${unit === null ? 'no unit' : `the unit ${unit}`}; send ${unitsOf(quantity).join(' or ')}`
  }
  return null
}

function timeProblem(told: readonly Told[]): string | null {
  for (const { pack } of told)
    for (const { name, timeS } of pack?.measurements ?? [])
      if (timeS > 0 && timeS < ABSOLUTE_FROM_S) return `${name} is ${timeS} s in the future`
  return null
}

function numberProblem(packs: readonly Pack[]): string | null {
  const last = new Map<string, number>()
  for (const { boot, seq } of packs) {
    if (boot === null) return 'a pack has no boot'
    if (seq === null) return 'a pack has no seq'
    const before = last.get(boot)
    if (before !== undefined && seq !== before && seq !== before + 1) return `${seq} came after ${before}`
    last.set(boot, seq)
  }
  return null
}

/** A pack that was not acknowledged may be sent again on a new connection; on the same one nothing may follow it. */
function inFlight(told: readonly Told[]): Finding {
  const asks = 'Sends the next pack only when the one before was acknowledged'
  const held = told.findIndex(({ isUnanswered }) => isUnanswered)
  if (held < 0) return unseen('measurements.one-in-flight', asks, 'there was none to hold back')
  const more = told.slice(held + 1).find(({ connection }) => connection === told[held]!.connection)
  return found(
    'measurements.one-in-flight',
    asks,
    more ? 'another followed without an acknowledgement' : null,
    'it waited',
  )
}
