/** What was typed and not saved yet, by form: it is there again when the browser was closed in the middle. */
export function keepDraft(key: string, typed: object | null): void {
  try {
    if (typed === null) localStorage.removeItem(`brinewatch.draft.${key}`)
    else localStorage.setItem(`brinewatch.draft.${key}`, JSON.stringify(typed))
  } catch {
    return
  }
}

export function keptDraft<Typed extends object>(key: string): Typed | null {
  try {
    const json = localStorage.getItem(`brinewatch.draft.${key}`)
    return json === null ? null : (JSON.parse(json) as Typed)
  } catch {
    return null
  }
}
