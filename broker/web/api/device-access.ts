import { z } from '@hono/zod-openapi'
import { deviceCommand } from '../../../firmware-protocol/device-orders.ts'
import { pairingAnswer, pairingRequest } from '../../../firmware-protocol/pairing.ts'
import { Time } from './schemas.ts'

export const CodeRequest = z
  .object({
    fresh: z.boolean().default(false).openapi({
      description: 'Refuse a name that a device has already. Otherwise that device gets other credentials.',
    }),
  })
  .strict()
  .openapi('CodeRequest')

/** Shown once: only a hash of the code is kept. */
export const DeviceCode = z
  .object({
    device: z.string(),
    code: z.string().openapi({ example: 'K7QM-2XVD', description: 'To be typed at the device, once.' }),
    expiresAt: Time,
    pages: z.array(z.string()).openapi({
      description:
        'The address of the first-run page in the network of the device, with the code filled in: one for each address of this service in the network, the likeliest first. None when no other machine reaches it.',
    }),
  })
  .openapi('DeviceCode')
export type DeviceCode = z.infer<typeof DeviceCode>

/** Shown once. */
export const NewPassword = z
  .object({
    device: z.string(),
    password: z.string(),
    expiresAt: Time.openapi({
      description: 'Unless it was used until then it is void. Until it is used the one before is good too.',
    }),
  })
  .openapi('NewPassword')
export type NewPassword = z.infer<typeof NewPassword>

// Made anew: what was made before this library was loaded cannot be described by it.
export const DeviceCommand = z.discriminatedUnion('command', deviceCommand.options).openapi('DeviceCommand')

export const PairingRequest = z.object(pairingRequest.shape).strict().openapi('PairingRequest')
export const PairingAnswer = z.object(pairingAnswer.shape).openapi('PairingAnswer')
