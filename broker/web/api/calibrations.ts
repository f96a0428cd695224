import { z } from '@hono/zod-openapi'
import { Role } from '../../store/contract.ts'
import { MOST_POINTS, ReferenceKind } from '../../hatch/calibration/calibrate.ts'
import { ChannelRef, Id, Latest, Time } from './schemas.ts'

const Point = z.object({
  reference: z.enum(ReferenceKind).openapi({ description: 'Melting ice, or a thermometer that is trusted.' }),
  referenceC: z.number(),
  referencePlusMinusC: z.number().openapi({ description: 'The reference is good to ± so much.' }),
  probeC: z.number().openapi({ description: 'Mean of what the probe showed, as measured.' }),
  spreadC: z.number().openapi({ description: 'Standard deviation of that.' }),
  count: z.int(),
  from: Time,
  to: Time,
})

const made = {
  gain: z.number().openapi({ description: 'What is measured is multiplied by this.' }),
  offset: z.number().openapi({ description: 'And this is added, °C.' }),
  residualC: z
    .number()
    .openapi({ description: 'The farthest that the set-right probe is from a reference.' }),
  uncertaintyC: z.number().openapi({
    description:
      'Combined standard uncertainty of a set-right reading at 28 °C (JCGM 100:2008, section 5); twice this holds for about 95 %.',
  }),
  points: z.array(Point),
}
export const CalibrationMade = z.object(made).openapi('CalibrationMade')

export const Calibration = z
  .object({
    id: Id,
    probe: ChannelRef,
    at: Time.openapi({ description: 'It holds from then on, until the next.' }),
    by: z.string(),
    withdrawnAt: Time.nullable(),
    ...made,
  })
  .openapi('Calibration')
export const CalibrationList = z.object({ calibrations: z.array(Calibration) }).openapi('CalibrationList')

export const NewCalibration = z
  .object({
    probe: ChannelRef,
    points: z
      .array(
        z
          .object({
            reference: z.enum(ReferenceKind),
            referenceC: z.number().optional().openapi({ description: 'Of a thermometer; ice is 0 °C.' }),
            referencePlusMinusC: z
              .number()
              .optional()
              .openapi({ description: '0.1 °C for ice when left out.' }),
            from: Time,
            to: Time.openapi({
              description: 'The probe was at rest in it between these, as its readings show.',
            }),
          })
          .strict(),
      )
      .min(1)
      .max(MOST_POINTS),
    by: z.string().trim().min(1).max(80).optional(),
  })
  .strict()
  .openapi('NewCalibration')

export const ProbeQuery = z.object({ probe: ChannelRef })
export const CalibrationQuery = z.object({ probe: ChannelRef.optional() })

export const ProbeLook = z
  .object({
    at: Time.openapi({ description: "The service's clock." }),
    newest: Latest.nullable().openapi({ description: 'As measured: nothing is set right.' }),
    rest: z
      .object({
        steady: z.boolean(),
        stillForS: z.number(),
        waitS: z.number().openapi({ description: 'How much longer it must stay at rest.' }),
        meanC: z.number(),
        spreadC: z.number(),
        slopeCPerMin: z.number(),
        count: z.int(),
        from: Time,
        to: Time,
      })
      .nullable()
      .openapi({ description: 'null without two readings.' }),
    assignedTo: z.object({ vesselId: Id, role: z.enum(Role) }).nullable(),
    correction: z
      .object({ gain: z.number(), offset: z.number(), uncertaintyC: z.number().nullable() })
      .nullable(),
  })
  .openapi('ProbeLook')

export type Calibration = z.infer<typeof Calibration>
export type CalibrationMade = z.infer<typeof CalibrationMade>
export type NewCalibration = z.infer<typeof NewCalibration>
export type ProbeLook = z.infer<typeof ProbeLook>
