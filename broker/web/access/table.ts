import { SignInRole } from '../../roles.ts'

/** Who may do one thing over HTTP, and whether the doing is written down. */
export interface Rule {
  readonly least: SignInRole | typeof ANYONE
  /** The words of the audit log; left out for what is done every day. */
  readonly audit?: string
}
/** Also whoever has not signed in: ways in, which guard themselves. */
export const ANYONE = 'anyone'

const anyone: Rule = { least: ANYONE }
const viewer: Rule = { least: SignInRole.viewer }
const helper: Rule = { least: SignInRole.helper }
const owner = (audit?: string): Rule => ({
  least: SignInRole.owner,
  ...(audit === undefined ? {} : { audit }),
})
const seen = (audit: string): Rule => ({ least: SignInRole.viewer, audit })

/**
 * The least role for every operation of the API. What is not here is not served, whatever the routes say. Viewers look, helpers
 * do the daily work; settings, people, devices, credentials and what is brought in are the owner's.
 */
export const ACCESS: Readonly<Record<string, Rule>> = {
  'GET /healthz': anyone,
  'GET /metrics': viewer,
  'GET /api/v1/openapi.json': viewer,
  'GET /api/v1/live': viewer,

  'GET /api/v1/session': viewer,
  'POST /api/v1/session': anyone,
  'DELETE /api/v1/session': anyone,
  'POST /api/v1/session/link': anyone,

  'GET /api/v1/people': owner(),
  'POST /api/v1/people': owner('let somebody in'),
  'PUT /api/v1/people/{id}/role': owner('changed a role'),
  'POST /api/v1/people/{id}/link': owner('made a new link'),
  'DELETE /api/v1/people/{id}': owner('let somebody in no more'),
  'GET /api/v1/sessions': owner(),
  'DELETE /api/v1/sessions/{id}': owner('ended a session'),
  'GET /api/v1/tokens': owner(),
  'POST /api/v1/tokens': owner('added a token'),
  'DELETE /api/v1/tokens/{name}': owner('ended a token'),
  'GET /api/v1/audit': owner(),

  'GET /api/v1/vessels': viewer,
  'POST /api/v1/vessels': owner('added a vessel'),
  'GET /api/v1/vessels/{id}': viewer,
  'PATCH /api/v1/vessels/{id}': owner('changed a vessel'),
  'DELETE /api/v1/vessels/{id}': owner('put a vessel away'),
  'PUT /api/v1/vessels/{id}/channels': owner('changed what a vessel is measured by'),
  'GET /api/v1/vessels/{id}/readings': viewer,
  'POST /api/v1/vessels/{id}/rules/{rule}/in-service': helper,
  // Until somebody ends it, nobody would be called at all: more than a helper's day needs.
  'POST /api/v1/vessels/{id}/rules/{rule}/out-of-service': owner('took an alarm out of service'),
  'POST /api/v1/vessels/{id}/suppress': helper,
  'DELETE /api/v1/vessels/{id}/suppress': helper,
  'POST /api/v1/vessels/{id}/cleanings': helper,
  'GET /api/v1/cleaning': viewer,
  'PUT /api/v1/cleaning/policy': owner('changed how often is cleaned'),
  'POST /api/v1/cleanings/{id}/withdraw': helper,

  'GET /api/v1/batches': viewer,
  'POST /api/v1/batches': helper,
  'GET /api/v1/batches/usual': viewer,
  'GET /api/v1/batches/compared': viewer,
  'GET /api/v1/batches/{id}': viewer,
  'GET /api/v1/batches/{id}/export': seen('wrote a batch out'),
  'GET /api/v1/batches/{id}/caught': viewer,
  'POST /api/v1/batches/{id}/caught': helper,
  'DELETE /api/v1/batches/{id}/caught': helper,
  'GET /api/v1/brought-in': viewer,
  'POST /api/v1/brought-in': owner('brought a batch in'),
  'DELETE /api/v1/brought-in/{id}': owner('removed a batch from elsewhere'),
  'PATCH /api/v1/batches/{id}': helper,
  'POST /api/v1/batches/{id}/discard': helper,
  'POST /api/v1/batches/{id}/end': helper,
  'GET /api/v1/batches/{id}/course': viewer,
  'GET /api/v1/batches/{id}/forecast': viewer,
  'GET /api/v1/batches/{id}/diagnosis': viewer,
  'GET /api/v1/batches/{id}/replay': viewer,
  'GET /api/v1/batches/{id}/readings': viewer,
  'GET /api/v1/batches/{id}/events': viewer,
  'POST /api/v1/batches/{id}/events': helper,
  'POST /api/v1/batches/{id}/events/{eventId}/withdraw': helper,
  'POST /api/v1/batches/{id}/photos': helper,
  'GET /api/v1/photos/{id}': viewer,
  'POST /api/v1/counts/estimate': viewer,

  'GET /api/v1/lots': viewer,
  'GET /api/v1/shelf': viewer,
  'POST /api/v1/shelf': helper,
  'GET /api/v1/shelf/{id}': viewer,
  'PATCH /api/v1/shelf/{id}': helper,
  'POST /api/v1/shelf/{id}/weighings': helper,
  'POST /api/v1/shelf/{id}/weighings/{weighingId}/withdraw': helper,
  'GET /api/v1/presets': viewer,
  'POST /api/v1/presets': helper,
  'PUT /api/v1/presets/{id}': helper,
  'DELETE /api/v1/presets/{id}': helper,
  'GET /api/v1/walks': viewer,
  'POST /api/v1/walks': helper,
  'GET /api/v1/walks/{id}': viewer,
  'PUT /api/v1/walks/{id}/draft': helper,
  'POST /api/v1/walks/{id}/steps': helper,
  'POST /api/v1/walks/{id}/finish': helper,
  'POST /api/v1/walks/{id}/abandon': helper,
  'GET /api/v1/held': viewer,
  'POST /api/v1/held/{id}/draws': helper,
  'POST /api/v1/held/{id}/draws/{drawId}/withdraw': helper,
  'GET /api/v1/reminders': viewer,
  'POST /api/v1/reminders/{id}/done': helper,
  'DELETE /api/v1/reminders/{id}/done': helper,
  'GET /api/v1/recipe': viewer,
  'GET /api/v1/hydrometer': viewer,

  'GET /api/v1/cohorts': viewer,
  'POST /api/v1/cohorts': helper,
  'PUT /api/v1/cohorts/{id}': helper,
  'DELETE /api/v1/cohorts/{id}': helper,
  'GET /api/v1/plan': viewer,
  'POST /api/v1/plan/starts/{id}/start': helper,
  'PUT /api/v1/plan/preferences': owner('changed what the plan goes by'),
  'GET /api/v1/plan/calendar.ics': viewer,
  // An address that opens the plan to whoever has it.
  'POST /api/v1/plan/calendar-address': owner('made an address for calendars'),
  'DELETE /api/v1/plan/calendar-address': owner('ended the address for calendars'),

  'GET /api/v1/alarms': viewer,
  'GET /api/v1/alarms/journal': viewer,
  'POST /api/v1/alarms/{id}/acknowledge': helper,
  'POST /api/v1/alarms/{id}/reset': helper,
  'POST /api/v1/alarms/{id}/shelve': helper,
  'POST /api/v1/alarms/{id}/unshelve': helper,
  'POST /api/v1/alarms/try-outs': helper,
  'GET /api/v1/alarms/try-outs/{id}': viewer,
  'DELETE /api/v1/alarms/try-outs/{id}': helper,

  'GET /api/v1/devices': viewer,
  'POST /api/v1/devices': owner('let a device in'),
  'DELETE /api/v1/devices/{name}': owner('took a device off the list'),
  'GET /api/v1/devices/{name}/config': viewer,
  'PUT /api/v1/devices/{name}/config': owner('changed how a device measures'),
  'POST /api/v1/devices/{name}/code': owner('made a code for a device'),
  'POST /api/v1/devices/{name}/password': owner('made a new password for a device'),
  'POST /api/v1/devices/{name}/revoke': owner('revoked a device'),
  'POST /api/v1/devices/{name}/command': owner('told a device to do something'),
  'POST /api/v1/pairing': { least: ANYONE, audit: 'paired a device' },
  'GET /api/v1/probe': viewer,
  'GET /api/v1/topics': viewer,
  'GET /api/v1/adopted-topics': viewer,
  'POST /api/v1/adopted-topics': owner('adopted a topic'),
  'DELETE /api/v1/adopted-topics/{id}': owner('gave up a topic'),
  'GET /api/v1/bridges': viewer,
  'POST /api/v1/bridges': owner('let a bridge in'),
  'DELETE /api/v1/bridges/{name}': owner('let a bridge in no more'),
  'GET /api/v1/calibrations': viewer,
  'POST /api/v1/calibrations': owner('calibrated a probe'),
  'POST /api/v1/calibrations/reckon': viewer,
  'POST /api/v1/calibrations/{id}/withdraw': owner('took a calibration back'),
  'GET /api/v1/quarantine': viewer,

  'GET /api/v1/push': viewer,
  'POST /api/v1/push/phones': helper,
  'DELETE /api/v1/push/phones/{id}': helper,
  'POST /api/v1/push/phones/{id}/test': helper,
  'GET /api/v1/notify': viewer,
  'PUT /api/v1/notify': owner('changed who is called'),
  'GET /api/v1/notify/outbox': viewer,
  'POST /api/v1/notify/test': owner('sent a test message'),
  // The address that the service calls is a key to the watcher outside.
  'GET /api/v1/notify/heartbeat': owner(),
  'PUT /api/v1/notify/heartbeat': owner('changed whom the heartbeat goes to'),
  'POST /api/v1/notify/heartbeat/try': owner(),

  'GET /api/v1/settings': viewer,
  'GET /api/v1/settings/usual': viewer,
  'PUT /api/v1/settings': owner('changed the settings'),
  'GET /api/v1/tables': viewer,
  'GET /api/v1/export': seen('wrote everything out'),
  'GET /api/v1/export/{table}': seen('wrote a table out'),
  'POST /api/v1/import': owner('brought data in'),
  'POST /api/v1/import/{table}': owner('brought a table in'),
  'GET /api/v1/import/set-aside': viewer,
  'DELETE /api/v1/import/set-aside/{id}': owner(),
}
