/** What this one screen remembers. A browser that keeps nothing still works: the choice then lasts as long as the page. */
export type Theme = 'auto' | 'dark' | 'light'

const kept = new Map<string, string>()

function get(key: string): string | null {
  try {
    return localStorage.getItem(key)
  } catch {
    return kept.get(key) ?? null
  }
}

function set(key: string, value: string): void {
  kept.set(key, value)
  try {
    localStorage.setItem(key, value)
  } catch {
    return
  }
}

export function theme(): Theme {
  const value = get('brinewatch.theme')
  return value === 'dark' || value === 'light' ? value : 'auto'
}

export function setTheme(value: Theme): void {
  set('brinewatch.theme', value)
  applyTheme()
}

/** Puts the choice on the page's root, where the style looks for it. */
export function applyTheme(): void {
  const value = theme()
  if (value === 'auto') delete document.documentElement.dataset['theme']
  else document.documentElement.dataset['theme'] = value
}

export const soundWanted = (): boolean => get('brinewatch.sound') === 'on'
export const setSoundWanted = (on: boolean): void => set('brinewatch.sound', on ? 'on' : 'off')

/** That nobody is called at night was read here, and is not to be said again. */
export const uncalledPutAway = (): boolean => get('brinewatch.uncalled') === 'away'
export const putAwayUncalled = (): void => set('brinewatch.uncalled', 'away')

/** What was typed last into a field that is mostly filled in alike: the millilitres of a sample, its dilution. */
export const lastTyped = (field: string): string | null => get(`brinewatch.typed.${field}`)
export const keepTyped = (field: string, text: string): void => set(`brinewatch.typed.${field}`, text)
