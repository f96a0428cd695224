import type { IConnectPacket, ISubscribePacket } from 'mqtt-packet'
import { topicOf } from '../../../firmware-protocol/topics.ts'
import type { Heard } from './bench.ts'
import { found, unseen, Verdict, type Finding } from './finding.ts'

const MAX_IDENTIFIER = 128

/** How the device signs in, and what it subscribes to. */
export function judgeConnecting(device: string, heard: readonly Heard[]): Finding[] {
  const connects = heard.flatMap(({ packet }) => (packet.cmd === 'connect' ? [packet] : []))
  const [connect] = connects
  if (!connect) {
    const junk = heard.find(({ packet }) => packet.cmd === 'nonsense')
    const why = junk ? 'what it sent is not MQTT' : 'nothing connected'
    return [found('connect', 'Connects with MQTT 3.1.1', why, '')]
  }
  return [
    found(
      'connect',
      'Connects with MQTT 3.1.1',
      connect.protocolVersion === 4 ? null : `it speaks protocol level ${connect.protocolVersion}`,
      'protocol level 4',
    ),
    found(
      'connect.user',
      "Its user name is the device's name, and it gives a password",
      userOf(device, connect),
      `"${device}"`,
    ),
    found(
      'connect.identifier',
      `A client identifier of up to ${MAX_IDENTIFIER} characters`,
      identifierOf(connect),
      `"${connect.clientId}"`,
    ),
    found(
      'connect.keep-alive',
      'Keep alive of 30 to 60 s',
      within(connect.keepalive ?? 0, 30, 60) ? null : `it is ${connect.keepalive ?? 0} s`,
      `${connect.keepalive} s`,
      connect.keepalive ? Verdict.better : Verdict.wrong,
    ),
    found(
      'connect.will',
      'Leaves {"online":false} as its last will on its state topic, QoS 1, retained',
      willOf(device, connect),
      'as it should be',
    ),
    subscriptions(device, heard),
  ]
}

const within = (value: number, from: number, to: number): boolean => value >= from && value <= to

function userOf(device: string, { username, password }: IConnectPacket): string | null {
  if (username !== device) return `its user name is "${String(username)}"`
  return password === undefined || password.length === 0 ? 'it gives no password' : null
}

function identifierOf({ clientId, clean }: IConnectPacket): string | null {
  if (clientId === '' && clean !== true) return 'it is empty, and the session is to be kept'
  return clientId.length > MAX_IDENTIFIER ? `it has ${clientId.length} characters` : null
}

function willOf(device: string, { will }: IConnectPacket): string | null {
  if (!will) return 'it leaves none'
  const topic = topicOf(device, 'state')
  if (will.topic !== topic) return `its topic is ${will.topic}; it must be ${topic}`
  let says: unknown
  try {
    says = JSON.parse(will.payload.toString())
  } catch {
    return `it is no JSON: ${will.payload.toString().slice(0, 60)}`
  }
  if ((says as { online?: unknown } | null)?.online !== false) return 'it does not say "online":false'
  if (!will.retain) return 'it is not retained'
  return will.qos === 1 ? null : `its QoS is ${will.qos}`
}

function subscriptions(device: string, heard: readonly Heard[]): Finding {
  const asks = 'Subscribes to config, alarm and command on every connect'
  const wanted = ['config', 'alarm', 'command'] as const
  const served = new Set(
    heard.flatMap(({ connection, packet }) =>
      packet.cmd === 'publish' || packet.cmd === 'subscribe' ? [connection] : [],
    ),
  )
  if (served.size === 0) return unseen('subscribe', asks, 'it never came so far')
  for (const connection of served) {
    const topics = heard
      .filter(({ connection: of, packet }) => of === connection && packet.cmd === 'subscribe')
      .flatMap(({ packet }) => (packet as ISubscribePacket).subscriptions.map(({ topic }) => topic))
    const missing = wanted.filter(kind => !topics.some(topic => covers(topic, topicOf(device, kind))))
    if (missing.length > 0)
      return found('subscribe', asks, `connection ${connection} lacks ${missing.join(', ')}`, '')
    const foreign = topics.find(topic => !topic.startsWith(topicOf(device, 'state').slice(0, -5)))
    if (foreign !== undefined)
      return found('subscribe', asks, `it asks for ${foreign}, which is not its own`, '')
  }
  return found('subscribe', asks, null, `on ${served.size} connections`)
}

/** MQTT 3.1.1 section 4.7.1. */
function covers(filter: string, topic: string): boolean {
  const levels = topic.split('/')
  const parts = filter.split('/')
  for (const [i, part] of parts.entries()) {
    if (part === '#') return true
    if (part !== '+' && part !== levels[i]) return false
  }
  return parts.length === levels.length
}
