/** Whether only this machine can reach a host, as it is written in an address or by itself: RFC 1122, 3.2.1.3 (127/8), RFC 4291, 2.5.3 (::1). */
export function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || host === '[::1]' || /^127(\.\d{1,3}){3}$/.test(host)
}
