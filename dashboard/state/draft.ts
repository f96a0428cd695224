import type { ReactiveController, ReactiveControllerHost } from 'lit'

/** What was typed outlives the page: a closed browser brings it back. Kept on this screen alone, for two weeks. */
const PREFIX = 'brinewatch.draft.'
const KEPT_MS = 14 * 86_400_000

interface Kept {
  readonly atMs: number
  readonly value: unknown
}

export function keepDraft(key: string, value: unknown, nowMs: number): void {
  try {
    localStorage.setItem(PREFIX + key, JSON.stringify({ atMs: nowMs, value } satisfies Kept))
  } catch {
    // A browser that keeps nothing still works.
  }
}

export function readDraft<T>(key: string, nowMs: number): T | null {
  try {
    const text = localStorage.getItem(PREFIX + key)
    const kept = text === null ? null : (JSON.parse(text) as Kept)
    return kept !== null && nowMs - kept.atMs < KEPT_MS ? (kept.value as T) : null
  } catch {
    return null
  }
}

export const hasDraft = (key: string): boolean => readDraft(key, Date.now()) !== null

/** A device that is being added: named here, since its page needs to know before the form is loaded. */
export const ADD_DEVICE_DRAFT = 'add-device'

export function dropDraft(key: string): void {
  try {
    localStorage.removeItem(PREFIX + key)
  } catch {
    return
  }
}

type Field = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement
const isField = (target: unknown): target is Field =>
  target instanceof HTMLInputElement ||
  target instanceof HTMLSelectElement ||
  target instanceof HTMLTextAreaElement

/** Keeps the named fields of its host's form as they are typed, and fills them in again. Passwords are never kept. */
export class FormDraft implements ReactiveController {
  readonly #host: ReactiveControllerHost & HTMLElement
  /** What the form is about; `null` while it is not known. */
  readonly #key: () => string | null
  #filled: string | null = null

  constructor(host: ReactiveControllerHost & HTMLElement, key: () => string | null) {
    this.#host = host
    this.#key = key
    host.addController(this)
  }

  hostConnected(): void {
    this.#host.addEventListener('input', this.#keep)
    this.#host.addEventListener('change', this.#keep)
  }
  hostDisconnected(): void {
    this.#host.removeEventListener('input', this.#keep)
    this.#host.removeEventListener('change', this.#keep)
    this.#filled = null
  }

  hostUpdated(): void {
    const key = this.#key()
    // Shut and opened again, the form is another one.
    if (key === null) this.#filled = null
    if (key === null || key === this.#filled || !this.#host.shadowRoot?.querySelector('form')) return
    this.#filled = key
    const draft = readDraft<Record<string, string>>(key, Date.now())
    if (draft !== null) void this.#fill(draft)
  }

  /** It was sent, or given up: nothing is to be brought back. */
  drop(): void {
    const key = this.#key()
    if (key !== null) dropDraft(key)
  }

  /** Some of its fields were settled otherwise. */
  dropFields(settled: (name: string) => boolean): void {
    const key = this.#key()
    const draft = key === null ? null : readDraft<Record<string, string>>(key, Date.now())
    if (key === null || draft === null) return
    const left = Object.entries(draft).filter(([name]) => !settled(name))
    if (left.length === 0) dropDraft(key)
    else keepDraft(key, Object.fromEntries(left), Date.now())
  }

  readonly #keep = (event: Event): void => {
    const key = this.#key()
    const target = event.composedPath()[0]
    if (key === null || !isField(target) || target.name === '' || target.type === 'password') return
    if (target.getRootNode() !== this.#host.shadowRoot) return
    const draft = readDraft<Record<string, string>>(key, Date.now()) ?? {}
    const isTick = target instanceof HTMLInputElement && target.type === 'checkbox'
    const value = isTick ? String(target.checked) : target.value
    keepDraft(key, { ...draft, [target.name]: value }, Date.now())
  }

  /** Choices first: some fields are there only once something was chosen; some choices only once something was typed. */
  async #fill(draft: Record<string, string>): Promise<void> {
    const left = new Set(Object.keys(draft))
    for (const choices of [true, false, true]) {
      for (const name of left) if (this.#set(name, draft[name] ?? '', choices)) left.delete(name)
      await this.#host.updateComplete
    }
  }

  /** Answers whether there was such a field. */
  #set(name: string, value: string, choices: boolean): boolean {
    const fields = this.#host.shadowRoot?.querySelectorAll<Field>(`[name="${CSS.escape(name)}"]`) ?? []
    let isThere = false
    for (const field of fields) {
      const isChoice =
        field.type === 'radio' || field.type === 'checkbox' || field instanceof HTMLSelectElement
      if (isChoice !== choices) continue
      isThere = true
      // What was chosen is there no more: what the form offers by itself stays.
      if (field instanceof HTMLSelectElement && ![...field.options].some(option => option.value === value))
        continue
      if (field instanceof HTMLInputElement && field.type === 'radio') {
        if (field.value !== value || field.checked) continue
        field.checked = true
      } else if (field instanceof HTMLInputElement && field.type === 'checkbox')
        field.checked = value === 'true'
      else field.value = value
      field.dispatchEvent(new Event('input', { bubbles: true, composed: true }))
      field.dispatchEvent(new Event('change', { bubbles: true, composed: true }))
    }
    return isThere
  }
}
