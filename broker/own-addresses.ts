import { hostname } from 'node:os'
import type { Endpoint } from './flags.ts'
import { lanAddresses } from './lan-addresses.ts'

/** The names and addresses by which this machine may be called up; a certificate must have them all. */
export function ownNames(): string[] {
  const name = hostname()
  const named = /^[a-z0-9-]+$/i.test(name) ? [name, `${name}.local`] : []
  return [...new Set(['localhost', '127.0.0.1', '::1', ...named, ...lanAddresses()])]
}

/** Where people reach the dashboard: from other machines by the first address of this one in its network, if it has one. */
export function addressForPeople({ host, port }: Endpoint, encrypted: boolean): string {
  const anywhere = host === '0.0.0.0' || host === '::'
  const reachable = anywhere ? (lanAddresses()[0] ?? '127.0.0.1') : host
  return `${encrypted ? 'https' : 'http'}://${reachable.includes(':') ? `[${reachable}]` : reachable}:${port}`
}
