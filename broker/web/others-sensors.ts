import type { AdoptedTopic, RefusedTopic, SeenTopic } from './api/topics.ts'

/** What the web needs of whatever reads sensors that are there already: it does not know how that is done. */
export interface OthersSensors {
  /** Topics seen lately, the newest first. Behind another broker, asking is what makes somebody listen. */
  seen(): readonly SeenTopic[]
  /** Where bridges sent what they may not, the newest first. */
  refused(): readonly RefusedTopic[]
  adopted(): readonly AdoptedTopic[]
  /** @throws RoomError that names the field. */
  adopt(topic: Omit<AdoptedTopic, 'id'>): Promise<AdoptedTopic>
  drop(id: string): Promise<void>
  bridges(): Promise<
    { readonly name: string; readonly topics: readonly string[]; readonly createdAtMs: number }[]
  >
  /** Resolves to the password. */
  addBridge(bridge: { readonly name: string; readonly topics: readonly string[] }): Promise<string>
  removeBridge(name: string): Promise<void>
}
