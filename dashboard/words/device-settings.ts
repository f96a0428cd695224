import type { DeviceConfig } from '../../broker/web/api/device-config.ts'

type Settings = Pick<DeviceConfig, 'sampleIntervalS' | 'reportIntervalS' | 'silentBrokerMinutes' | 'limits'>

/** What a device is told, in a line: "Measures each second, sends every 5 s, sounds after 10 min without an answer". */
export function deviceSettingsWords(settings: Settings): string {
  const { sampleIntervalS, reportIntervalS, silentBrokerMinutes, limits } = settings
  const measures = sampleIntervalS === 1 ? 'each second' : `every ${sampleIntervalS} s`
  const sounds =
    silentBrokerMinutes === 0
      ? 'does not sound when nobody answers it'
      : `sounds after ${silentBrokerMinutes} min without an answer`
  const count = Object.keys(limits).length
  const own =
    count === 0 ? '' : `, has ${count === 1 ? 'a limit' : `limits for ${count} channels`} of its own`
  return `Measures ${measures}, sends ${reportIntervalS === 1 ? 'each second' : `every ${reportIntervalS} s`}, ${sounds}${own}.`
}

/** Whether the device goes by what it was told. `applied`: the revision that it said it goes by; `null`: it never said. */
export function inForceWords(revision: number, applied: number | null, online: boolean): string {
  if (revision === 0) return 'Nobody has set anything: it goes by its own settings.'
  if (applied === revision) return 'In force on the device.'
  if (!online) return 'Not taken yet: the device is off line and is told when it comes.'
  if (applied === null) return 'Sent. The device does not say by which settings it goes.'
  return 'Sent, but the device still goes by earlier settings.'
}
