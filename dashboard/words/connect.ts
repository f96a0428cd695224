import type { LiveSnapshot } from '../../broker/web/api/live.ts'

/** What the broker says of how it is reached; `null` when it says nothing. */
export type Connect = NonNullable<LiveSnapshot['connect']> | null

/** MQTT's registered port (IANA), for a broker that does not say where it listens. */
const MQTT_PORT = 1883
/** Where the broker keeps its data when it is not told otherwise. */
const USUAL_DIR = 'data'

/** The command that makes a device its password, to be typed on the broker's machine. */
export function addDeviceCommand(name: string, connect: Connect): string {
  const command = `npm run -s brinewatch -- device add ${name}`
  if (connect === null || connect.dataDir === USUAL_DIR) return command
  return `${command} --data ${shellWord(connect.dataDir)}`
}

/** The command that sends a first reading by hand. */
export function firstReadingCommand(host: string, name: string, connect: Connect): string {
  return `mosquitto_pub -h ${host} -p ${connect?.mqttPort ?? MQTT_PORT} -u ${name} -P PASSWORD -q 1 \\
  -t brinewatch/v1/${name}/measurements \\
  -m '[{"n":"water","u":"Cel","v":27.2},{"n":"air","u":"l/min","v":0.8}]'`
}

/** A word as a POSIX shell takes it: quoted where anything in it would be more than itself. */
const shellWord = (text: string): string =>
  /^[\w@%+=:,./-]+$/.test(text) ? text : `'${text.replaceAll("'", `'\\''`)}'`
