import { spawnSync } from 'node:child_process'
import { createHmac } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { sign, webhookBody } from '../../broker/notify/webhook.ts'

const text = readFileSync(new URL('../../broker/notify/README.md', import.meta.url), 'utf8')
const secret = /With the secret `([^`]+)`/.exec(text)![1]!
const [message = '', python = ''] = [...text.matchAll(/```(?:python)?\n((?:POST|import)[^]*?)```/g)].map(
  match => match[1]!,
)
const [head = '', body = ''] = message.trimEnd().split('\n\n')
const headers = Object.fromEntries(
  head
    .split('\n')
    .slice(1)
    .map(line => line.split(': ') as [string, string]),
)
const stamp = headers['Brinewatch-Timestamp']!

it('the signature of the example is the one of its own rule, and ours', () => {
  const made = createHmac('sha256', Buffer.from(secret))
    .update(Buffer.concat([Buffer.from(stamp), Buffer.from('.'), Buffer.from(body)]))
    .digest('hex')
  expect(headers['Brinewatch-Signature']).toBe(`v1=${made}`)
  expect(sign(secret, stamp, body)).toBe(headers['Brinewatch-Signature'])
})

it('the example is a message as it is sent, field by field', () => {
  const { at, ...rest } = JSON.parse(body)
  expect(JSON.stringify(webhookBody({ ...rest, sentAtMs: Date.parse(at) }))).toBe(body)
  expect(rest.id).toBe(headers['Brinewatch-Delivery'])
  // A delivery is first tried when it is decided, so the stamp is not before.
  expect(Number(stamp)).toBeGreaterThanOrEqual(Date.parse(at) / 1000)
  for (const field of Object.keys(JSON.parse(body)))
    expect(text).toMatch(new RegExp(`^\\|.*\`${field}\`.*\\|`, 'm'))
})

const hasPython = spawnSync('python3', ['--version']).status === 0
it.skipIf(!hasPython)('the receiver of the example takes it, and no other', () => {
  const asks = (change: { body?: string; secret?: string; now?: number }) => {
    const program = `${python}
import json, sys
given = json.load(sys.stdin)
time.time = lambda: given["now"]
print(is_ours(given["secret"].encode(), given["headers"], given["body"].encode()))`
    const input = JSON.stringify({ secret, headers, body, now: Number(stamp) + 5, ...change })
    const { stdout, stderr } = spawnSync('python3', ['-c', program], { input, encoding: 'utf8' })
    return stdout.trim() || stderr
  }
  expect(asks({})).toBe('True')
  expect(asks({ body: body.replace('30.1', '20.1') })).toBe('False')
  expect(asks({ secret: 'between you and them' })).toBe('False')
  expect(asks({ now: Number(stamp) + 301 })).toBe('False')
})
