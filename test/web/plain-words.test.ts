import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { plainWords, type Issue } from '../../broker/web/plain-words.ts'

const wordsOf = (schema: z.ZodType, value: unknown) =>
  plainWords(schema.safeParse(value).error!.issues[0] as unknown as Issue)

describe('what is wrong, in plain words', () => {
  it.each([
    [z.number(), undefined, 'It is missing'],
    [z.number(), 'two', 'It must be a number'],
    [z.int(), 1.5, 'It must be a whole number'],
    [z.string(), 2, 'It must be text'],
    [z.boolean(), 1, 'It must be true or false'],
    [z.number().positive(), 0, 'It must be more than 0'],
    [z.number().min(2), 1, 'It must be at least 2'],
    [z.number().max(100), 101, 'It must be at most 100'],
    [z.string().min(1), '', 'It must not be empty'],
    [z.string().max(3), 'four', 'It must have at most 3 characters'],
    [z.enum(['C', 'F']), 'K', 'It must be one of C, F'],
    [z.iso.datetime(), 'yesterday', 'It must be a time like 2026-11-25T06:40:00Z'],
    [z.string().regex(/x/, 'Write an x'), 'y', 'Write an x'],
  ])('%#: %s', (schema, value, words) => {
    expect(wordsOf(schema, value)).toBe(words)
  })
})
