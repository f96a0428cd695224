import { html, LitElement, nothing } from 'lit'
import './alarm/bar.ts'
import './alarm/set-aside.ts'
import { bookPage } from './book/lazy.ts'
import { comparePage } from './compare/lazy.ts'
import { appStyle } from './frame/app-style.ts'
import { devicesPage, fetchAhead, joinPage, newDeviceNotice, settingsPage, vesselPage } from './frame/lazy.ts'
import './frame/lost.ts'
import './frame/sound-button.ts'
import './frame/theme-button.ts'
import { planPage } from './plan/lazy.ts'
import { journalPage, tryOutPage } from './journal/lazy.ts'
import { calibratePage, topicsPage } from './probe/lazy.ts'
import { recipePage } from './recipe/lazy.ts'
import { replayPage } from './replay/lazy.ts'
import { Link } from './state/room-state.ts'
import { Router, vesselPath } from './state/route.ts'
import { Watch } from './state/watch.ts'
import { shared } from './style/shared.ts'
import './views/room.ts'
import './views/sign-in.ts'

/** The views that belong to one of the ways at the foot. */
const ROOM_VIEWS: ReadonlySet<string> = new Set(['room', 'vessel', 'set-up', 'harvest', 'sheet'])
const DEVICE_VIEWS: ReadonlySet<string> = new Set(['devices', 'topics', 'calibrate'])
const LOT_VIEWS: ReadonlySet<string> = new Set([
  'lots',
  'held',
  'cleaning',
  'tables',
  'batches',
  'recipes',
  'batch',
  'compare',
  'report',
])

/** Work step by step, with wet hands: it keeps the screen. */
const WALKS: ReadonlySet<string> = new Set(['set-up', 'harvest'])

/** The frame around every view: where to go, whether it will sound, what stands in alarm, whether it is live. */
export class App extends LitElement {
  readonly #router = new Router(this)
  readonly #link = new Watch(this, from => from.link)
  readonly #ready = new Watch(this, from => from.state.settings !== null)

  static override styles = [shared, appStyle]

  override firstUpdated(): void {
    fetchAhead()
  }
  override updated(): void {
    const top = this.renderRoot.querySelector('.top')
    if (top) this.#bar.observe(top)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    this.#bar.disconnect()
  }
  /** How high the bar on top stands changes with the alarms in it. */
  readonly #bar = new ResizeObserver(() => {
    const height = this.renderRoot.querySelector('.top')?.clientHeight ?? 0
    document.documentElement.style.setProperty('--top-bar', `${Math.min(height, innerHeight * 0.6)}px`)
  })

  override render() {
    const link = this.#link.value
    if (this.#router.route.view === 'join') return joinPage(this, '/join', () => html`<bw-join></bw-join>`)
    if (link === Link.signIn) return html`<main><bw-sign-in></bw-sign-in></main>`
    return html`
      <header class="top">
        <button class="skip" @click=${this.#skip}>To the vessels</button>
        <div class="line">
          <a class="name" href="/" aria-label="brinewatch: the room">
            <svg viewBox="0 0 24 24" width="26" height="26" aria-hidden="true">
              <path d="M4 2h16v8c0 4-5 6-6.500 9v3h-3v-3C9 16 4 14 4 10z" fill="currentColor" />
            </svg>
            brinewatch
          </a>
          <bw-sound></bw-sound>
          <bw-theme-button></bw-theme-button>
        </div>
        <bw-lost></bw-lost>
        <bw-alarms ?walking=${WALKS.has(this.#router.route.view)}></bw-alarms>
      </header>
      <bw-set-aside></bw-set-aside>
      ${this.#nav()}
      <main id="main" tabindex="-1">
        ${this.#ready.value ? this.#view() : html`<p class="opening soft">Looking for the broker…</p>`}
      </main>
    `
  }

  #view() {
    const route = this.#router.route
    switch (route.view) {
      case 'room':
        return html`${newDeviceNotice()}<bw-room></bw-room>`
      case 'vessel': {
        const { vesselId } = route
        return vesselPage(
          this,
          vesselPath(vesselId),
          () => html`<bw-vessel-page .vesselId=${vesselId}></bw-vessel-page>`,
        )
      }
      case 'recipe':
        return recipePage(this, route.vesselId)
      case 'batch':
        return replayPage(this, route)
      case 'compare':
        return comparePage(this, route)
      case 'plan':
        return planPage(this)
      case 'lots':
      case 'held':
      case 'cleaning':
      case 'tables':
      case 'batches':
      case 'recipes':
        return bookPage(this, route.view)
      case 'set-up':
      case 'harvest':
      case 'sheet':
      case 'report':
        return bookPage(this, route.view, route.id)
      case 'journal':
        return journalPage(this, '/journal', () => html`<bw-journal></bw-journal>`)
      case 'try-out': {
        const { rule, asked, batchId } = route
        return tryOutPage(
          this,
          '/try-out',
          () => html`<bw-try-out .rule=${rule} .asked=${asked} .batchId=${batchId}></bw-try-out>`,
        )
      }
      case 'devices':
        return devicesPage(this, '/devices', () => html`<bw-devices></bw-devices>`)
      case 'topics':
        return topicsPage(this)
      case 'calibrate':
        return calibratePage(this, route.probe)
      case 'settings':
        return settingsPage(this, '/settings', () => html`<bw-settings></bw-settings>`)
      case 'join':
      case 'nowhere':
        return html`<p class="opening">There is no such page. <a href="/">Go to the room</a></p>`
    }
  }

  #nav() {
    const view = this.#router.route.view
    const link = (path: string, name: string, current: boolean) =>
      html`<a href=${path} aria-current=${current ? 'page' : nothing}>${name}</a>`
    return html`<nav aria-label="Views">
      ${link('/', 'Room', ROOM_VIEWS.has(view))} ${link('/plan', 'Plan', view === 'plan')}
      ${link('/recipe', 'Recipe', view === 'recipe')} ${link('/lots', 'Lots', LOT_VIEWS.has(view))}
      ${link('/devices', 'Devices', DEVICE_VIEWS.has(view))}
      ${link('/settings', 'Settings', view === 'settings')}
    </nav>`
  }

  readonly #skip = (): void => {
    this.renderRoot.querySelector<HTMLElement>('#main')?.focus()
  }
}
customElements.define('bw-app', App)
