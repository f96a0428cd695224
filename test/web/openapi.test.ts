import { Validator } from '@seriousme/openapi-schema-validator'
import { describe, expect, it } from 'vitest'
import { bench } from './harness.ts'

async function described() {
  const response = await bench().ask('GET', '/api/v1/openapi.json')
  return (await response.json()) as {
    openapi: string
    paths: Record<string, Record<string, any>>
    components: any
  }
}

describe('the description of the API', () => {
  it('is valid OpenAPI 3.1', async () => {
    const result = await new Validator().validate(await described())
    expect(result.errors).toBeUndefined()
    expect(result.valid).toBe(true)
    expect((await described()).openapi).toBe('3.1.0')
  })

  it('names every route of the contract', async () => {
    const { paths } = await described()
    const routes = Object.entries(paths).flatMap(([path, item]) =>
      Object.keys(item).map(method => `${method.toUpperCase()} ${path.replace('/api/v1', '')}`),
    )
    expect(routes.sort()).toEqual(
      [
        'GET /vessels',
        'POST /vessels',
        'GET /vessels/{id}',
        'PATCH /vessels/{id}',
        'DELETE /vessels/{id}',
        'PUT /vessels/{id}/channels',
        'GET /vessels/{id}/readings',
        'GET /batches',
        'POST /batches',
        'GET /batches/{id}',
        'PATCH /batches/{id}',
        'POST /batches/{id}/discard',
        'POST /batches/{id}/end',
        'GET /batches/{id}/course',
        'GET /batches/{id}/events',
        'POST /batches/{id}/events',
        'POST /batches/{id}/events/{eventId}/withdraw',
        'GET /batches/{id}/export',
        'GET /brought-in',
        'POST /brought-in',
        'DELETE /brought-in/{id}',
        'GET /lots',
        'GET /shelf',
        'POST /shelf',
        'GET /shelf/{id}',
        'PATCH /shelf/{id}',
        'POST /shelf/{id}/weighings',
        'POST /shelf/{id}/weighings/{weighingId}/withdraw',
        'GET /batches/usual',
        'GET /presets',
        'POST /presets',
        'PUT /presets/{id}',
        'DELETE /presets/{id}',
        'GET /walks',
        'POST /walks',
        'GET /walks/{id}',
        'PUT /walks/{id}/draft',
        'PATCH /walks/{id}/draft',
        'POST /walks/{id}/steps',
        'POST /walks/{id}/finish',
        'POST /walks/{id}/abandon',
        'POST /batches/{id}/photos',
        'GET /photos/{id}',
        'GET /held',
        'POST /held/{id}/draws',
        'POST /held/{id}/draws/{drawId}/withdraw',
        'GET /cleaning',
        'PUT /cleaning/policy',
        'POST /vessels/{id}/cleanings',
        'POST /cleanings/{id}/withdraw',
        'GET /tables',
        'GET /export',
        'GET /export/{table}',
        'POST /import',
        'POST /import/{table}',
        'GET /import/set-aside',
        'DELETE /import/set-aside/{id}',
        'GET /reminders',
        'POST /reminders/{id}/done',
        'DELETE /reminders/{id}/done',
        'GET /batches/{id}/forecast',
        'GET /batches/{id}/diagnosis',
        'GET /batches/compared',
        'GET /batches/{id}/caught',
        'POST /batches/{id}/caught',
        'DELETE /batches/{id}/caught',
        'GET /batches/{id}/replay',
        'GET /batches/{id}/readings',
        'GET /alarms',
        'GET /alarms/journal',
        'POST /alarms/try-outs',
        'GET /alarms/try-outs/{id}',
        'DELETE /alarms/try-outs/{id}',
        'POST /alarms/{id}/acknowledge',
        'POST /alarms/{id}/reset',
        'POST /alarms/{id}/shelve',
        'POST /alarms/{id}/unshelve',
        'POST /vessels/{id}/rules/{rule}/in-service',
        'POST /vessels/{id}/rules/{rule}/out-of-service',
        'POST /vessels/{id}/suppress',
        'DELETE /vessels/{id}/suppress',
        'GET /devices',
        'POST /devices',
        'GET /devices/{name}/config',
        'GET /probe',
        'GET /topics',
        'GET /adopted-topics',
        'POST /adopted-topics',
        'DELETE /adopted-topics/{id}',
        'GET /bridges',
        'POST /bridges',
        'DELETE /bridges/{name}',
        'GET /calibrations',
        'POST /calibrations',
        'POST /calibrations/reckon',
        'POST /calibrations/{id}/withdraw',
        'PUT /devices/{name}/config',
        'POST /devices/{name}/code',
        'POST /devices/{name}/password',
        'POST /devices/{name}/revoke',
        'DELETE /devices/{name}',
        'POST /devices/{name}/command',
        'POST /pairing',
        'GET /push',
        'POST /push/phones',
        'DELETE /push/phones/{id}',
        'POST /push/phones/{id}/test',
        'GET /quarantine',
        'POST /counts/estimate',
        'GET /recipe',
        'GET /hydrometer',
        'GET /settings',
        'GET /settings/usual',
        'PUT /settings',
        'GET /notify',
        'PUT /notify',
        'GET /notify/outbox',
        'POST /notify/test',
        'GET /notify/heartbeat',
        'PUT /notify/heartbeat',
        'POST /notify/heartbeat/try',
        'GET /session',
        'POST /session',
        'POST /session/link',
        'GET /people',
        'POST /people',
        'PUT /people/{id}/role',
        'POST /people/{id}/link',
        'DELETE /people/{id}',
        'GET /sessions',
        'DELETE /sessions/{id}',
        'GET /tokens',
        'POST /tokens',
        'DELETE /tokens/{name}',
        'GET /audit',
        'DELETE /session',
      ].sort(),
    )
  })

  it('says of every route what it does, what it answers and how it refuses', async () => {
    const { paths } = await described()
    for (const item of Object.values(paths)) {
      for (const operation of Object.values(item)) {
        expect(operation.summary).toMatch(/\w{3}/)
        const statuses = Object.keys(operation.responses)
        expect(statuses.filter(status => status.startsWith('2'))).toHaveLength(1)
        expect(statuses).toEqual(expect.arrayContaining(['401', '403', '500']))
        expect(operation.responses['500'].content['application/problem+json'].schema).toEqual({
          $ref: '#/components/schemas/Problem',
        })
      }
    }
  })

  it('describes what is sent to us as it is sent, not as it is understood', async () => {
    const { paths, components } = await described()
    const points = paths['/api/v1/vessels/{id}/readings']?.get.parameters.find(
      (each: any) => each.name === 'points',
    )
    expect(points).toMatchObject({
      in: 'query',
      schema: { type: 'integer', minimum: 2, maximum: 5000, default: 600 },
    })
    expect(points.required ?? false).toBe(false)
    expect(components.schemas.NewBatch.required).toEqual(['vesselId', 'litres', 'cystsG', 'salinityGpl'])
    expect(components.schemas.NewBatch.properties.startedAt).toMatchObject({
      type: 'string',
      format: 'date-time',
    })
  })
})
