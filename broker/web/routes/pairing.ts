import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { readCode } from '../../../firmware-protocol/pairing.ts'
import { PairingAnswer, PairingRequest } from '../api/device-access.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import { createSignInGate } from '../sign-in-gate.ts'
import { body, json, problems } from './describe.ts'

const redeem = createRoute({
  method: 'post',
  path: '/pairing',
  tags: ['devices'],
  summary: 'For devices: redeem a code for a name and a password. Needs no sign-in, only the code',
  request: { body: body(PairingRequest) },
  responses: {
    200: json(PairingAnswer, 'What to sign in to the broker with. The code is used up.'),
    ...problems(409, 413, 415, 422, 429),
  },
})

/** The one thing besides signing in that nobody has to be known for, so guesses are slowed down as they are there. */
export function pairingRoutes({ devices, connect, logger }: WebOptions): OpenAPIHono<WebEnv> {
  const gate = createSignInGate()
  return new OpenAPIHono<WebEnv>().openapi(redeem, async c => {
    const mqttPort = connect?.().mqttPort ?? null
    if (mqttPort === null)
      throw new HttpProblem(409, 'Cannot pair: devices sign in at another MQTT broker, which gives passwords')
    const code = readCode(c.req.valid('json').code)
    const address = c.env?.incoming?.socket.remoteAddress ?? 'unknown'
    let credential: Awaited<ReturnType<typeof devices.redeem>> = null
    const admission = await gate(address, async () => {
      // What cannot be a code is not worth the hash, but it counts as a guess.
      credential = code === null ? null : await devices.redeem(code)
      return credential !== null
    })
    if ('waitS' in admission) {
      throw new HttpProblem(429, `Cannot pair: too many wrong codes, try again in ${admission.waitS} s`, {
        headers: { 'Retry-After': String(admission.waitS) },
      })
    }
    // The compiler does not see that the gate has called what sets it.
    const found = credential as { device: string; password: string } | null
    if (found === null) {
      logger.warn({ address }, 'a pairing was refused: not a code that is good')
      const message =
        'Cannot pair: this code is not known, was used, or is older than ten minutes; make a new one'
      throw new HttpProblem(422, message, { errors: [{ field: 'code', message }] })
    }
    c.set('subject', found.device)
    logger.info({ address, device: found.device }, 'a device was paired')
    return c.json({ device: found.device, password: found.password, mqttPort }, 200)
  })
}
