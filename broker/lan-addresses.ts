import { networkInterfaces } from 'node:os'

/** The IPv4 addresses by which other machines reach this one. */
export function lanAddresses(): string[] {
  return Object.values(networkInterfaces())
    .flatMap(found => found ?? [])
    .filter(found => found.family === 'IPv4' && !found.internal)
    .map(found => found.address)
}
