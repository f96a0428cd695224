import qrcode from 'qrcode'
import type { Endpoint, Flags } from './flags.ts'
import { lanAddresses } from './lan-addresses.ts'
import { NoPasswordError } from './need-password.ts'
import type { Running } from './start.ts'
import { CertificateError } from './tls/certificates.ts'
import { StoreError } from './store/contract.ts'

/** Says on standard output, in one line, that the service is ready; with `--lan` also what to type on a phone. */
export async function announce(running: Running, flags: Flags): Promise<void> {
  const s = running.encrypted ? 's' : ''
  const mqtt = running.mqtt
    ? `mqtt${s}://${atHost(running.mqtt)}`
    : `readings from ${withoutSecret(flags.mqttUrl ?? '')}`
  const clear = running.clear ? ` and in the clear mqtt://${atHost(running.clear)}` : ''
  process.stdout.write(`brinewatch ready: http${s}://${atHost(running.http)} ${mqtt}${clear}\n`)
  if (running.authority !== null)
    process.stdout.write(
      `Browsers warn until they trust this brinewatch: open http${s}://${atHost(running.http)}/authority.pem on the phone and install it.\n` +
        `Its fingerprint must be ${running.authority.fingerprint}\n`,
    )
  if (!flags.lan) return
  for (const host of lanAddresses()) {
    const address = `http${s}://${host}:${running.http.port}`
    const picture = await qrcode.toString(address, { type: 'terminal', small: true })
    process.stdout.write(`\nOn a phone in the same network, open ${address}\n${picture}`)
  }
}

/** One plain sentence for what kept the service from starting. */
export function explain(error: unknown, flags: Flags): string {
  if (error instanceof NoPasswordError || error instanceof StoreError || error instanceof CertificateError)
    return error.message
  const code = error instanceof Error && 'code' in error ? error.code : undefined
  const port = error instanceof Error && 'port' in error ? Number(error.port) : undefined
  if (code === 'EADDRINUSE') {
    const of = { mqtt: flags.mqtt, 'mqtt-clear': flags.mqttClear, http: flags.http }
    const [flag, at] = Object.entries(of).find(([, each]) => each?.port === port) ?? ['http', flags.http]
    return `Cannot listen on port ${port}: another program has it. Choose another: --${flag} ${at?.host}:PORT`
  }
  if (code === 'ENOENT' || code === 'ENOTDIR' || code === 'EEXIST') {
    return `Cannot keep data in ${flags.dataDir}: no such directory can be made there. Choose another: --data DIR`
  }
  if (code === 'EACCES')
    return `Cannot start: no right to use ${flags.dataDir}, or a port below 1024 was asked for`
  if (code === 'EADDRNOTAVAIL')
    return 'Cannot listen: this machine does not have the address given to --http, --mqtt or --mqtt-clear'
  return `Cannot start: ${error instanceof Error ? error.message : String(error)}`
}

function atHost({ host, port }: Endpoint): string {
  // "Every interface" is no address to type; this machine's own always is.
  const reachable = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host
  return `${reachable.includes(':') ? `[${reachable}]` : reachable}:${port}`
}

function withoutSecret(url: string): string {
  const { protocol, host } = new URL(url)
  return `${protocol}//${host}`
}
