import { z } from 'zod'

/** Ids travel in addresses: nothing else may stand in them. */
export const Id = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$/)
  .describe('letters, digits, "-" and "_"')

/** Moments outside of these are slips of the pen. */
export const Moment = z
  .int()
  .min(Date.UTC(2000, 0, 1))
  .max(Date.UTC(2100, 0, 1))
  .describe('Unix ms')

export const Text = (most: number) => z.string().max(most)
