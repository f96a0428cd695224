import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import type { CalibrationRecord, NewPoint, Probe, TakenPoint } from '../../room/calibrating.ts'
import {
  Calibration,
  CalibrationList,
  CalibrationMade,
  CalibrationQuery,
  NewCalibration,
  ProbeLook,
  ProbeQuery,
} from '../api/calibrations.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { iso, isoOrNull } from '../times.ts'
import { body, given, json, momentMs, problems } from './describe.ts'
import { saidBy } from './who.ts'

const tags = ['calibrations']
const look = createRoute({
  method: 'get',
  path: '/probe',
  tags,
  summary: 'A probe as it is now, as measured, and whether it has come to rest',
  request: { query: ProbeQuery },
  responses: { 200: json(ProbeLook, 'What it shows.'), ...problems(422) },
})
const list = createRoute({
  method: 'get',
  path: '/calibrations',
  tags,
  summary: 'The calibrations of all probes, or of one, the newest first',
  request: { query: CalibrationQuery },
  responses: { 200: json(CalibrationList, 'Withdrawn ones are among them.'), ...problems(422) },
})
const reckon = createRoute({
  method: 'post',
  path: '/calibrations/reckon',
  tags,
  summary: 'What would come of a calibration; nothing is kept',
  request: { body: body(NewCalibration) },
  responses: { 200: json(CalibrationMade, 'Not kept.'), ...problems(413, 415, 422) },
})
const keep = createRoute({
  method: 'post',
  path: '/calibrations',
  tags,
  summary: 'Calibrate a probe; it is set right by it from now on',
  request: { body: body(NewCalibration) },
  responses: { 201: json(Calibration, 'Kept, and in force.'), ...problems(413, 415, 422) },
})
const withdraw = createRoute({
  method: 'post',
  path: '/calibrations/{id}/withdraw',
  tags,
  summary: 'Take a calibration back; the one before holds from now on',
  request: { params: ById },
  responses: { 200: json(Calibration, 'Withdrawn.'), ...problems(404, 422) },
})

export function calibrationRoutes({ calibrating, clock }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(look, async c => {
      const { newest, steadiness, assignedTo, correction } = await calibrating.look(
        probeOf(c.req.valid('query').probe),
      )
      return c.json(
        {
          at: iso(clock()),
          newest: newest && present.latest(newest),
          rest: steadiness && {
            steady: steadiness.steady,
            stillForS: steadiness.stillForMs / 1000,
            waitS: steadiness.waitMs / 1000,
            meanC: steadiness.meanC,
            spreadC: steadiness.spreadC,
            slopeCPerMin: steadiness.slopeCPerMin,
            count: steadiness.count,
            from: iso(steadiness.fromMs),
            to: iso(steadiness.toMs),
          },
          assignedTo: assignedTo && { vesselId: assignedTo.vesselId, role: assignedTo.role },
          correction: correction && {
            gain: correction.gain ?? 1,
            offset: correction.offset,
            uncertaintyC: correction.uncertainty ?? null,
          },
        },
        200,
      )
    })
    .openapi(list, c => {
      const { probe } = c.req.valid('query')
      const records = calibrating.history(probe === undefined ? undefined : probeOf(probe))
      return c.json({ calibrations: records.map(calibration) }, 200)
    })
    .openapi(reckon, async c => {
      const { probe, points } = c.req.valid('json')
      const made = await calibrating.reckon(probeOf(probe), points.map(pointIn))
      return c.json({ ...made, points: made.points.map(pointOut) }, 200)
    })
    .openapi(keep, async c => {
      const { probe, points, by } = c.req.valid('json')
      const kept = await calibrating.keep(probeOf(probe), points.map(pointIn), saidBy(c, by))
      return c.json(calibration(kept), 201)
    })
    .openapi(withdraw, async c =>
      c.json(calibration(await calibrating.withdraw(c.req.valid('param').id)), 200),
    )
}

/** `bench-1/2/water` is channel `2/water` of device `bench-1`. */
function probeOf(ref: string): Probe {
  const slash = ref.indexOf('/')
  return { device: ref.slice(0, slash), channel: ref.slice(slash + 1) }
}

function pointIn({ from, to, ...point }: NewCalibration['points'][number]): NewPoint {
  return { ...given(point), fromMs: momentMs('from', from), toMs: momentMs('to', to) }
}

function pointOut({ fromMs, toMs, ...point }: TakenPoint): Calibration['points'][number] {
  return { ...point, from: iso(fromMs), to: iso(toMs) }
}

function calibration(record: CalibrationRecord): Calibration {
  const { id, device, channel, atMs, by, withdrawnAtMs, points, ...made } = record
  const { gain, offset, residualC, uncertaintyC } = made
  return {
    id,
    probe: `${device}/${channel}`,
    at: iso(atMs),
    by,
    withdrawnAt: isoOrNull(withdrawnAtMs),
    gain,
    offset,
    residualC,
    uncertaintyC,
    points: points.map(pointOut),
  }
}
