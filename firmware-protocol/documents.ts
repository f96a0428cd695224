import { z } from 'zod'
import { deviceAlarm, MAX_ALARM_BYTES } from './device-alarm.ts'
import { deviceConfig } from './device-config.ts'
import { deviceCommand } from './device-orders.ts'
import { deviceState, LAST_WILL, MAX_STATE_BYTES } from './device-state.ts'
import { MAX_PAYLOAD_BYTES, MAX_RECORDS } from './pack.ts'
import { senmlRecord } from './senml.ts'
import { DEVICE_NAME, TOPIC_ROOT, TopicKind } from './topics.ts'

type Json = Record<string, unknown>

interface Kind {
  readonly schema: z.ZodType
  /** As the device sees it. */
  readonly action: 'send' | 'receive'
  readonly retain: boolean
  readonly contentTypes: readonly string[]
  readonly title: string
  readonly about: string
  readonly examples: readonly unknown[]
}

const SEE_README = 'The README beside this file has the words to it.'

/** What goes over each kind of topic, for programs that make documentation or code from it. */
const KINDS: Readonly<Record<TopicKind, Kind>> = {
  measurements: {
    schema: z.array(senmlRecord).max(MAX_RECORDS),
    action: 'send',
    retain: false,
    contentTypes: ['application/senml+json', 'application/senml+cbor'],
    title: 'A pack of readings',
    about: `SenML (RFC 8428), at most ${MAX_PAYLOAD_BYTES} bytes, with times relative to the moment of sending. In CBOR the labels are integers (section 6). One in flight at a time: PUBACK means that it is on disk.`,
    examples: [
      [
        { n: 'boot', vs: 'k3v9x2' },
        { n: 'seq', v: 41 },
        { n: 'uptime', u: 's', v: 3605.2 },
        { n: 'water', u: 'Cel', v: 27.5, t: -5 },
        { n: 'water', u: 'Cel', v: 27.5625 },
        { n: 'air', u: 'l/min', v: 1.8 },
      ],
      [{ n: 'water', vs: 'disconnected' }],
    ],
  },
  state: {
    schema: deviceState,
    action: 'send',
    retain: true,
    contentTypes: ['application/json'],
    title: 'What the device says of itself',
    about: `At most ${MAX_STATE_BYTES} bytes; on connecting, once a minute, and on a change. The last will is ${LAST_WILL}.`,
    examples: [
      { online: true, firmware: 'cone-1.2', rssiDbm: -61, uptimeS: 3605, backlog: 0, configRevision: 3 },
      JSON.parse(LAST_WILL),
    ],
  },
  config: {
    schema: deviceConfig,
    action: 'receive',
    retain: true,
    contentTypes: ['application/json'],
    title: 'How often to measure and report, and local limits',
    about: 'Comes whole each time. Not in this schema: where a limit has both ends, low is below high.',
    examples: [
      {
        revision: 3,
        sampleIntervalS: 1,
        reportIntervalS: 5,
        stateIntervalS: 60,
        silentBrokerMinutes: 10,
        limits: { water: { high: 29.4 }, air: { low: 0.2 } },
      },
    ],
  },
  alarm: {
    schema: deviceAlarm,
    action: 'receive',
    retain: true,
    contentTypes: ['application/json'],
    title: 'What stands in the vessels of this device',
    about: `At most ${MAX_ALARM_BYTES} bytes, whole each time. Not in this schema: no more are unacknowledged than stand; there is a priority exactly when something stands; nothing sounds that was acknowledged. An empty payload: the device was revoked.`,
    examples: [
      { standing: 0, unacknowledged: 0, priority: null, sound: false },
      {
        standing: 1,
        unacknowledged: 1,
        priority: 'critical',
        rules: ['water-too-hot'],
        sinceS: 12,
        sound: true,
        lampOff: true,
        hot: ['water'],
      },
    ],
  },
  command: {
    schema: deviceCommand,
    action: 'receive',
    retain: false,
    contentTypes: ['application/json'],
    title: 'Something to do once',
    about: 'Unknown commands are ignored.',
    examples: [{ command: 'identify', seconds: 30 }, { command: 'report' }, { command: 'restart' }],
  },
}

const NAMES = Object.values(TopicKind)

/** The documents that are kept beside the code, by file name: JSON Schemas (draft 7) and an AsyncAPI 3 document. */
export function protocolDocuments(): Record<string, Json> {
  const schemas = NAMES.map(name => [`${name}.schema.json`, schemaOf(name)] as const)
  return { ...Object.fromEntries(schemas), 'asyncapi.json': asyncApi() }
}

/** Of what is sent to a reader: fields with a default may be left out, and unknown fields are let through. */
function bodyOf(name: TopicKind): Json {
  const { title, about, schema } = KINDS[name]
  const body: Json = z.toJSONSchema(schema, {
    io: 'input',
    target: 'draft-7',
    unrepresentable: 'any',
    override: ({ zodSchema, jsonSchema }) => {
      // Bytes are written as text in JSON.
      if (zodSchema._zod.def.type === 'custom') jsonSchema.type = 'string'
    },
  })
  delete body.$schema
  return { title, description: about, ...body }
}

const schemaOf = (name: TopicKind): Json => ({
  $schema: 'http://json-schema.org/draft-07/schema#',
  ...bodyOf(name),
})

function asyncApi(): Json {
  const each = <T>(make: (name: TopicKind) => T) => Object.fromEntries(NAMES.map(name => [name, make(name)]))
  return {
    asyncapi: '3.0.0',
    info: {
      title: 'How a device speaks to brinewatch',
      version: '1.0.0',
      description: `Written from the point of view of the device: it sends measurements and its state, and receives the rest. ${SEE_README}`,
      license: { name: 'MIT' },
    },
    defaultContentType: 'application/json',
    servers: {
      broker: {
        host: '{address}:1883',
        protocol: 'mqtt',
        protocolVersion: '3.1.1',
        description: 'The broker inside the service, or one that it reads from.',
        variables: { address: { default: '127.0.0.1', description: 'Where the service runs.' } },
        security: [{ $ref: '#/components/securitySchemes/device' }],
        bindings: {
          mqtt: {
            cleanSession: true,
            keepAlive: 45,
            lastWill: { topic: `${TOPIC_ROOT}/{device}/state`, qos: 1, retain: true, message: LAST_WILL },
            bindingVersion: '0.2.0',
          },
        },
      },
    },
    channels: each(name => ({
      address: `${TOPIC_ROOT}/{device}/${name}`,
      title: KINDS[name].title,
      description: KINDS[name].about,
      parameters: { device: { $ref: '#/components/parameters/device' } },
      messages: { [name]: { $ref: `#/components/messages/${name}` } },
    })),
    operations: each(name => ({
      action: KINDS[name].action,
      channel: { $ref: `#/channels/${name}` },
      summary: KINDS[name].title,
      messages: [{ $ref: `#/channels/${name}/messages/${name}` }],
      bindings: { mqtt: { qos: 1, retain: KINDS[name].retain, bindingVersion: '0.2.0' } },
    })),
    components: {
      parameters: {
        device: {
          description: `The device's name, which is its user name too: ${String(DEVICE_NAME)}`,
          examples: ['bench-1'],
        },
      },
      securitySchemes: {
        device: {
          type: 'userPassword',
          description: 'The name, and the password that "device add" printed.',
        },
      },
      messages: each(name => ({
        name,
        title: KINDS[name].title,
        contentType: KINDS[name].contentTypes[0],
        ...(KINDS[name].contentTypes.length > 1
          ? { description: `Also understood: ${KINDS[name].contentTypes.slice(1).join(', ')}.` }
          : {}),
        payload: { $ref: `#/components/schemas/${name}` },
        examples: KINDS[name].examples.map(payload => ({ payload })),
      })),
      schemas: each(bodyOf),
    },
  }
}
