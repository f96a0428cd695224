/** Which devices are connected: one may hold several connections, and is away when the last has gone. */
export class Presence {
  readonly #connections = new Map<string, Set<object>>()

  arrive(device: string, connection: object): void {
    const present = this.#connections.get(device)
    if (present) present.add(connection)
    else this.#connections.set(device, new Set([connection]))
  }

  /** True when this was its last. */
  leave(device: string, connection: object): boolean {
    const present = this.#connections.get(device)
    if (!present?.delete(connection)) return false
    if (present.size > 0) return false
    this.#connections.delete(device)
    return true
  }

  /** Whether a connection other than this one holds. */
  elsewhere(device: string, connection: object): boolean {
    const present = this.#connections.get(device)
    return present !== undefined && present.size - (present.has(connection) ? 1 : 0) > 0
  }

  get devices(): number {
    return this.#connections.size
  }
}
