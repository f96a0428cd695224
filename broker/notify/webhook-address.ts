import { lookup, type LookupAddress, type LookupOptions } from 'node:dns'
import { BlockList, isIP } from 'node:net'

/**
 * Which addresses a webhook may go to. The person's own network and this machine are what webhooks are mostly for, so private
 * addresses (RFC 1918, RFC 4193) and loopback are allowed: whoever can set one has signed in and may do anything here anyhow.
 * Refused is what no receiver of a person's own can be at: link-local addresses, where hosts of rented machines hand out
 * credentials (RFC 3927, RFC 4291 section 2.5.6), multicast, broadcast, and the unspecified address.
 */
const refused = new BlockList()
refused.addSubnet('0.0.0.0', 8, 'ipv4')
refused.addSubnet('169.254.0.0', 16, 'ipv4')
refused.addSubnet('224.0.0.0', 3, 'ipv4')
refused.addAddress('::', 'ipv6')
refused.addSubnet('fe80::', 10, 'ipv6')
refused.addSubnet('ff00::', 8, 'ipv6')

export const REFUSED_WORDS =
  'No message goes to this address: it is a link-local, multicast or unspecified one, where no receiver of yours can be'

/** A name was looked up, and leads to a refused address. */
export class RefusedAddressError extends Error {
  override readonly name = 'RefusedAddressError'
}

/** Whether a host, written as an IP address, is refused; IPv4 inside of IPv6 counts as what it stands for. A name is not. */
export function isRefusedAddress(host: string): boolean {
  const plain = host.replace(/^\[|\]$/g, '').replace(/%.*$/, '')
  const family = isIP(plain)
  return family !== 0 && refused.check(plain, family === 4 ? 'ipv4' : 'ipv6')
}

type Found = (error: NodeJS.ErrnoException | null, address: string | LookupAddress[], family?: number) => void

/** Looks a name up as usual, and refuses it if any of its addresses is: so a name cannot lead where its address may not. */
export function checkedLookup(host: string, options: LookupOptions, found: Found): void {
  lookup(host, { ...options, all: true }, (error, addresses) => {
    if (error) return found(error, [])
    if (addresses.some(({ address }) => isRefusedAddress(address)))
      return found(new RefusedAddressError(REFUSED_WORDS), [])
    const [first] = addresses
    if (options.all === true || first === undefined) return found(null, addresses)
    found(null, first.address, first.family)
  })
}
