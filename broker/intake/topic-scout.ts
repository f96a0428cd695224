import mqtt from 'mqtt'
import type { MqttClient } from 'mqtt'
import type { Clock } from '../clock.ts'
import type { IntakeLogger } from './logger.ts'
import { SILENT } from './logger.ts'
import type { SeenTopics } from './seen-topics.ts'
import { isReserved } from './topic-filter.ts'

/** It listens for so long after somebody last asked, ms. */
const LISTEN_MS = 2 * 60_000
/** And to so many messages at most: a large house has more to say than a person can look through. */
const MOST_MESSAGES = 50_000

export interface TopicScout {
  /** Somebody looks for topics: it listens for a while. */
  ask(): void
  close(): Promise<void>
}

/**
 * Listens to all that an external broker hands out while somebody looks for a sensor. Over a connection of its own, because
 * subscriptions that overlap may bring each message twice (MQTT 3.1.1 clause 3.3.5-1), and readings must come once.
 */
export function createTopicScout(options: {
  readonly url: string
  readonly seen: SeenTopics
  readonly clock: Clock
  readonly logger?: IntakeLogger
  readonly listenMs?: number
}): TopicScout {
  const { seen, clock, logger = SILENT } = options
  let client: MqttClient | null = null
  let timer: NodeJS.Timeout | undefined

  async function end(): Promise<void> {
    clearTimeout(timer)
    const ending = client
    client = null
    await ending?.endAsync(true)
  }

  return {
    ask() {
      clearTimeout(timer)
      timer = setTimeout(() => void end(), options.listenMs ?? LISTEN_MS)
      if (client) return
      let heard = 0
      const made = (client = mqtt.connect(options.url, {
        clean: true,
        protocolVersion: 4,
        reconnectPeriod: 5000,
      }))
      made.on('connect', () => made.subscribe('#', { qos: 0 }))
      made.on('message', (topic, payload, { retain }) => {
        if (isReserved(topic)) return
        seen.note(topic, payload, null, retain, clock())
        if (++heard >= MOST_MESSAGES) void end()
      })
      made.on('error', error =>
        logger.warn({ error: error.message }, 'the MQTT broker cannot be listened to'),
      )
    },
    close: end,
  }
}
