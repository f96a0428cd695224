import { createHmac } from 'node:crypto'
import { ChannelKind, type Channel, type Message } from './contract.ts'
import { callAddress } from './http-call.ts'

/** What goes along with the body. The signature is `v1=` and the hexadecimal HMAC-SHA256 of `<timestamp>.<body>`. */
export const WebhookHeader = {
  /** The idempotency key: alike for every attempt. */
  delivery: 'Brinewatch-Delivery',
  /** When this attempt was made, Unix s. A receiver should refuse what is older than some minutes. */
  timestamp: 'Brinewatch-Timestamp',
  signature: 'Brinewatch-Signature',
} as const

/** POSTs each message as JSON, signed if there is a secret, to the person's own address. */
export function createWebhook(parts: { secret: () => string | null; nowMs: () => number }): Channel {
  return {
    kind: ChannelKind.webhook,
    quiet: true,
    async send(message, address, signal) {
      const body = JSON.stringify(webhookBody(message))
      const timestamp = String(Math.floor(parts.nowMs() / 1000))
      const secret = parts.secret()
      const headers = {
        'Content-Type': 'application/json',
        [WebhookHeader.delivery]: message.id,
        [WebhookHeader.timestamp]: timestamp,
        ...(secret === null ? {} : { [WebhookHeader.signature]: sign(secret, timestamp, body) }),
      }
      await callAddress(address, { method: 'POST', headers, body }, signal)
    },
  }
}

/** The signature of a body that was sent at a time, Unix s. */
export function sign(secret: string, timestamp: string, body: string): string {
  return `v1=${createHmac('sha256', secret).update(`${timestamp}.${body}`).digest('hex')}`
}

/** What a receiver gets. Fields are added in the course of time, and never change their meaning. */
export function webhookBody(message: Message) {
  const {
    id,
    about,
    occasion,
    alarmId,
    rule = null,
    title,
    text,
    priority,
    acknowledgeUrl,
    openUrl,
    sentAtMs,
  } = message
  return {
    id,
    about,
    occasion,
    alarmId,
    rule,
    title,
    text,
    priority,
    acknowledgeUrl,
    openUrl: openUrl ?? null,
    at: new Date(sentAtMs).toISOString(),
  }
}
