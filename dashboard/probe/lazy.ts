import { html, type ReactiveControllerHost, type TemplateResult } from 'lit'
import { lazyPage } from '../frame/lazy.ts'

const calibrate = lazyPage(() => import('./calibrate.ts'), 'Looking for the probe…')
const topics = lazyPage(() => import('../topics/others.ts'), 'Looking for topics…')

export const calibratePage = (host: ReactiveControllerHost, probe: string): TemplateResult =>
  calibrate(host, location.href, () => html`<bw-calibrate .probe=${probe}></bw-calibrate>`)
export const topicsPage = (host: ReactiveControllerHost): TemplateResult =>
  topics(host, '/topics', () => html`<bw-others></bw-others>`)
