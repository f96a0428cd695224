/** Once it may be lit again, the lamp stays off for so long: the link's specification asks for five minutes. */
const REST_MS = 5 * 60_000

/** The relay in the lamp's line, opened by what the broker says on the alarm topic. */
export class LampRelay {
  #offSaid = false
  #closesAtMs = -Infinity

  /** What the newest message says, at each look; a lost connection changes nothing. */
  hear(lampOff: boolean, nowMs: number): void {
    if (lampOff) this.#closesAtMs = Infinity
    else if (this.#offSaid) this.#closesAtMs = nowMs + REST_MS
    this.#offSaid = lampOff
  }

  /** Open: no light and no heat, whatever the lamp would give. */
  isOpen(nowMs: number): boolean {
    return nowMs < this.#closesAtMs
  }
}
