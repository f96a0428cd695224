import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'

/** What is drawn of a page that may not be there yet. */
type LazyPage = (host: ReactiveControllerHost, path: string, page: () => TemplateResult) => TemplateResult

/** A page of the dashboard that is fetched when it is first asked for: whoever watches vessels does not wait for it. */
export function lazyPage(load: () => Promise<unknown>, waiting: string): LazyPage {
  let fetched: 'not' | 'asked' | 'there' | 'failed' = 'not'
  return (host, path, page) => {
    if (fetched === 'not') {
      fetched = 'asked'
      const settle = (how: 'there' | 'failed') => () => {
        fetched = how
        host.requestUpdate()
      }
      load().then(settle('there'), settle('failed'))
    }
    if (fetched === 'there') return page()
    if (fetched === 'asked') return html`<p class="opening soft">${waiting}</p>`
    // With a target of its own the link loads the page anew.
    return html`<p class="opening">
      This page could not be fetched. <a href=${path} target="_self">Try again</a>
    </p>`
  }
}

const loadVessel = (): Promise<unknown> => import('../views/vessel.ts')

export const vesselPage = lazyPage(loadVessel, 'Opening the vessel…')
export const devicesPage = lazyPage(() => import('../views/devices.ts'), 'Looking for the devices…')
export const settingsPage = lazyPage(() => import('../views/settings.ts'), 'Opening the settings…')

export const joinPage = lazyPage(() => import('../access/join.ts'), 'Opening the door…')

const fetchNewDevice = idly(() => import('../views/new-device.ts'))
/** What new devices ask for stands above the room, as soon as it is fetched. */
export function newDeviceNotice(): TemplateResult {
  fetchNewDevice()
  return html`<bw-new-device></bw-new-device>`
}

/** After the vessel, what a person at a vessel is likeliest to ask for. */
const LATER = (): Promise<unknown> => import('../replay/page.ts')

/** Fetches, once the first screen stands and nothing is to be done, what is most likely asked for next. */
export const fetchAhead = (): void => whenIdle(() => loadVessel().then(LATER))

/** Fetches what the first screen can do without, when it is first asked for, once nothing else is to be done. */
export function idly(load: () => Promise<unknown>): () => void {
  let asked = false
  return () => {
    if (!asked) whenIdle(load)
    asked = true
  }
}

function whenIdle(load: () => Promise<unknown>): void {
  const ahead = () => void load().catch(() => undefined)
  // Not every browser knows idle times.
  if (typeof requestIdleCallback === 'function') requestIdleCallback(ahead, { timeout: 5000 })
  else setTimeout(ahead, 2000)
}
