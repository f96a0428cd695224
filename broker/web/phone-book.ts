/** What the web needs of whatever calls phones: it does not know how that is done. */
export interface PhoneBook {
  look(): Promise<{
    readonly publicKey: string
    readonly people: readonly { readonly id: string; readonly name: string }[]
    readonly phones: readonly PhoneEntry[]
    readonly lost: readonly { readonly name: string; readonly person: string; readonly atMs: number }[]
  }>
  /** @throws RoomError of kind `invalid` that names the field. */
  add(input: {
    readonly name: string
    readonly person: string
    readonly subscription: {
      readonly endpoint: string
      readonly expiresAtMs: number | null
      readonly keys: { readonly p256dh: string; readonly auth: string }
    }
  }): Promise<PhoneEntry>
  /** @throws RoomError of kind `not-found`; so does `test`. */
  drop(id: string): Promise<void>
  test(id: string): Promise<{ readonly arrived: boolean; readonly words: string }>
}

export interface PhoneEntry {
  readonly id: string
  readonly name: string
  readonly personId: string
  readonly person: string
}
