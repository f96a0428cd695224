import type { Endpoint } from './flags.ts'
import { isLoopback } from './loopback.ts'
import { lanAddresses } from './lan-addresses.ts'
import type { Store } from './store/contract.ts'

/** Where the service is reached, for a command that runs beside it. */
const DOCUMENT = 'reached-at'

/** Where other machines reach the dashboard, `host:port`, if they reach the broker too; none where it is this machine's alone. */
export function addressesForDevices(http: Endpoint | null, mqtt: Endpoint | null): string[] {
  if (!http || !mqtt || isLoopback(http.host) || isLoopback(mqtt.host)) return []
  const { host, port } = http
  const hosts = host === '0.0.0.0' || host === '::' ? lanAddresses() : [host]
  return hosts.map(each => `${each.includes(':') ? `[${each}]` : each}:${port}`)
}

export async function keepReachedAt(
  store: Pick<Store, 'keepDocument'>,
  addresses: readonly string[],
): Promise<void> {
  await store.keepDocument(DOCUMENT, JSON.stringify(addresses))
}

/** As the service said when it started last. */
export async function reachedAt(store: Pick<Store, 'document'>): Promise<string[]> {
  const json = await store.document(DOCUMENT)
  return json === undefined ? [] : (JSON.parse(json) as string[])
}
