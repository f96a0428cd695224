import { z } from '@hono/zod-openapi'
import { CauseKind, Sureness, Verdict } from '../../diagnosis/contract.ts'
import { Role } from '../../store/contract.ts'
import { BandOfNumbers, Time } from './schemas.ts'

/** What went wrong with a batch, what it cost, and what to change. */

const Span = z.object({ from: Time, to: Time })

export const Evidence = z
  .object({
    role: z.enum(Role).nullable().openapi({
      description: 'Where it is measured; null for what was written down or reckoned.',
    }),
    spans: z.array(Span).openapi({ description: 'When it was so; none for what held all the time.' }),
    value: z.number(),
    limit: z.number().nullable(),
    unit: z.enum(['°C', 'l/min/l', 'lx', 'h', 'g/l', 'pH', '%', 'mg/l']),
    source: z.string().openapi({ description: 'Where the limit comes from.' }),
    words: z.string(),
  })
  .openapi('Evidence')

export const Cause = z
  .object({
    kind: z.enum(CauseKind),
    words: z.string().openapi({ description: 'One sentence with its number and its time.' }),
    evidence: z.array(Evidence),
    probability: z.number().openapi({ description: 'That it was so and mattered, 0 to 1.' }),
    sure: z.enum(Sureness),
    cost: z.object({
      hatchPoints: BandOfNumbers.openapi({ description: 'Points of hatch percentage.' }),
      foodPoints: BandOfNumbers.openapi({
        description: 'The same, each nauplius weighed by what it is worth as food at its age.',
      }),
      laterH: BandOfNumbers.openapi({ description: 'Hours later that nine in ten were out.' }),
    }),
    noLossCounted: z.boolean().optional().openapi({
      description: 'The harvest’s count shows no loss: none is in the cost, what is left is the delay.',
    }),
    change: z.string().openapi({ description: 'What to change before the next batch.' }),
  })
  .openapi('Cause')

export const Diagnosis = z
  .object({
    version: z.int(),
    verdict: z.enum(Verdict),
    words: z.string().openapi({ description: 'All of it in a sentence.' }),
    causes: z.array(Cause).openapi({ description: 'Each more likely than not; the weightiest first.' }),
    risky: z.array(Cause).openapi({
      description: 'They were so, and the harvest’s count shows no loss by them. The likeliest first.',
    }),
    ruledOut: z.array(Cause).openapi({ description: 'Looked at and not blamed; the likeliest first.' }),
    balance: z
      .object({
        without: BandOfNumbers.openapi({ description: 'Living nauplii had none of the causes been there.' }),
        expected: BandOfNumbers.openapi({ description: '`without` less what the causes took.' }),
        counted: z
          .object({ low: z.number(), best: z.number(), high: z.number() })
          .nullable()
          .openapi({ description: 'By the count at the harvest, with limits at 95 %.' }),
        unexplained: BandOfNumbers.nullable().openapi({ description: 'Counted less expected.' }),
      })
      .openapi({ description: 'In per cent of all full cysts.' }),
    blindSpots: z.array(z.string()).openapi({ description: 'What could not be looked at.' }),
  })
  .openapi('Diagnosis')

export type Diagnosis = z.infer<typeof Diagnosis>
