import { html, LitElement, type PropertyValues } from 'lit'
import type { Batch } from '../../broker/web/api/batches.ts'
import { ApiError, request } from '../state/api.ts'
import '../handover/hand-over.ts'
import { batchPath, comparePath, reportPath, type Route, sheetPath } from '../state/route.ts'
import { Watch } from '../state/watch.ts'
import { store } from '../state/store.ts'
import { shared } from '../style/shared.ts'
import { askReplay } from './ask.ts'
import { caughtParts } from './caught-parts.ts'
import type { CaughtPart } from './caught.ts'
import './causes.ts'
import './curves.ts'
import { deck } from './deck.ts'
import { beganMs, type Diagnosis, rankedCauses, type Shade, shadesOf } from './diagnosed.ts'
import type { TimeHandle } from './handle.ts'
import { batchHead } from './head.ts'
import { type Happening, happeningsOf, nextMoment } from './happenings.ts'
import './list.ts'
import type { MomentEvent } from './moment-event.ts'
import { pageStyle } from './page-style.ts'
import { OutOfSight } from './out-of-sight.ts'
import { Player } from './player.ts'
import { asItWas } from './killed.ts'
import { batchAt, type Recording, recordingOf } from './recording.ts'
import './then.ts'

/** The address follows the handle once it rests, ms. */
const REST_MS = 300
/** An open batch is read anew so often, ms. */
const ANEW_MS = 60_000

/** A batch looked at again: what went wrong, and the vessel as it was at any moment. */
export class ReplayPage extends LitElement {
  static override properties = {
    place: { attribute: false },
    recording: { state: true },
    diagnosis: { state: true },
    problem: { state: true },
    unjudged: { state: true },
    atMs: { state: true },
  }
  declare place: Extract<Route, { view: 'batch' }> | null
  declare recording: Recording | null
  declare diagnosis: Diagnosis | null
  declare problem: string
  /** Why there is no diagnosis; empty while it is waited for. */
  declare unjudged: string
  /** The moment that is looked at, Unix ms. */
  declare atMs: number
  readonly #settings = new Watch(this, from => from.state.settings)
  readonly #player = new Player(this, ms => this.#pass(ms))
  readonly #coneOut = new OutOfSight(this, '.then')
  /** A person has moved the moment, or let it play. */
  #stirredOnce = false
  #batchId = ''
  /** Nobody has chosen a moment yet: the page may choose. */
  #unchosen = true
  #wantedMs: number | null = null
  #rest: ReturnType<typeof setTimeout> | undefined
  #anew: ReturnType<typeof setInterval> | undefined
  /** What is looked at: of a batch that died the course ends there. */
  #seen: Recording | null = null
  #shades: readonly Shade[] = []
  #happenings: readonly Happening[] = []

  constructor() {
    super()
    this.place = null
    this.recording = null
    this.diagnosis = null
    this.problem = ''
    this.unjudged = ''
    this.atMs = 0
  }

  static override styles = [shared, pageStyle]

  override connectedCallback(): void {
    super.connectedCallback()
    this.#anew = setInterval(() => this.#followOpen(), ANEW_MS)
  }
  override disconnectedCallback(): void {
    super.disconnectedCallback()
    clearInterval(this.#anew)
    clearTimeout(this.#rest)
  }

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('place') && this.place) this.#open(this.place)
    if (changed.has('recording') || changed.has('diagnosis')) {
      const { recording, diagnosis } = this
      const replay = recording && asItWas(recording.replay, diagnosis)
      this.#seen = replay === recording?.replay ? recording : recording && replay && { ...recording, replay }
      this.#shades = shadesOf(this.diagnosis)
      const unit = this.#settings.value?.temperatureUnit
      this.#happenings = this.recording ? happeningsOf(this.recording, this.diagnosis, unit) : []
    }
  }

  override render() {
    const recording = this.#seen
    const settings = this.#settings.value
    if (this.problem !== '')
      return html`<div class="page">
        <h1>Replay</h1>
        <p class="failed" role="status">${this.problem} <a href="/">To the room</a></p>
      </div>`
    if (!recording || !settings) return html`<p class="page soft">Fetching the batch…</p>`
    const nowMs = store.clock.nowMs()
    const { batch } = recording.replay
    const open = batch.endedAt === null
    const guest = recording.replay.broughtIn !== undefined
    return html`<div class="page look" @bw-moment=${this.#asked}>
      ${batchHead(recording, nowMs, store.state.vessels, settings.temperatureUnit)}
      <div class="why">
        <h2 class="hidden">What went wrong</h2>
        ${this.#judged(open, nowMs)}
        ${caughtParts(recording, {
          diagnosis: this.diagnosis,
          settings,
          nowMs,
          opened: [...this.renderRoot.querySelectorAll<HTMLDetailsElement>('details.caught')].map(
            ({ open }) => open,
          ),
          onToggle: () => this.requestUpdate(),
        })}
        <div class="row">
          <a class="button quiet" href=${reportPath(batch.id)}>Report on one page</a>
          <a class="button quiet" href=${sheetPath(batch.id)}>Batch sheet</a>
          <a
            class="button quiet"
            href=${comparePath({ ...(guest ? {} : batch.lot ? { lot: batch.lot } : { vesselId: batch.vesselId }), batchIds: [batch.id] })}
            >Beside others</a
          >
          <button class="quiet" @click=${this.#copy}>Copy a link to this moment</button>
          <span class="said" role="status" id="copied"></span>
        </div>
        <bw-hand-over .batchId=${batch.id} ?guest=${guest}></bw-hand-over>
      </div>
      <div class="how">
        <section class="then" aria-label="The vessel then">
          <bw-then .recording=${recording} .settings=${settings} .atMs=${this.atMs} .nowMs=${nowMs}></bw-then>
        </section>
        <bw-replay-curves
          .recording=${recording}
          .settings=${settings}
          .shades=${this.#shades}
          .atMs=${this.atMs}
        ></bw-replay-curves>
      </div>
      <section class="what">
        <h2>What happened</h2>
        <bw-happenings .happenings=${this.#happenings} .atMs=${this.atMs} .nowMs=${nowMs}></bw-happenings>
      </section>
      ${deck(recording, {
        player: this.#player,
        settings,
        shades: this.#shades,
        happenings: this.#happenings,
        atMs: this.atMs,
        nowMs,
        // Who reads what went wrong has no use for it; who plays the batch, or went to a moment, has.
        small: this.#coneOut.is && (this.#stirredOnce || this.#player.playing),
        atRest: this.#coneOut.isBelow && this.#unchosen && !this.#stirredOnce && !this.#player.playing,
        onJump: this.#jump,
        onPlay: this.#playOrPause,
        onSpeed: this.#speed,
      })}
    </div>`
  }

  #judged(open: boolean, nowMs: number) {
    if (this.unjudged !== '') return html`<p class="failed" role="status">${this.unjudged}</p>`
    if (!this.diagnosis) return html`<p class="soft waiting" role="status">Finding out what went wrong…</p>`
    return html`<bw-causes
      .diagnosis=${this.diagnosis}
      .replay=${this.recording?.replay ?? null}
      .unit=${this.#settings.value?.temperatureUnit ?? 'C'}
      .startedMs=${this.recording?.fromMs ?? 0}
      .nowMs=${nowMs}
      ?open=${open}
    ></bw-causes>`
  }

  readonly #jump = (towards: 1 | -1): void => {
    const atMs = nextMoment(this.#happenings, this.#wantedMs ?? this.atMs, towards)
    if (atMs !== null) this.#choose(atMs)
  }

  #open(place: NonNullable<ReplayPage['place']>): void {
    this.#player.pause()
    this.#unchosen = place.atMs === null
    if (place.batchId === '' && place.vesselId !== '') {
      void this.#find(place)
      return
    }
    if (place.batchId !== this.#batchId) {
      this.#batchId = place.batchId
      this.recording = null
      this.diagnosis = null
      this.problem = ''
      this.unjudged = ''
      void this.#fetch(place.atMs)
      void this.#judge()
    } else if (place.atMs !== null) this.#move(place.atMs)
  }

  /** Which batch was in the vessel then. */
  async #find(place: NonNullable<ReplayPage['place']>): Promise<void> {
    this.recording = null
    this.#batchId = ''
    try {
      const query = new URLSearchParams({ vesselId: place.vesselId, limit: '1000' })
      const { batches } = await request<{ batches: Batch[] }>('GET', `/batches?${query}`)
      if (this.place !== place) return
      const found = batchAt(batches, place.atMs ?? store.clock.nowMs())
      if (!found) this.problem = 'No batch was in the vessel then.'
      else this.#open({ ...place, batchId: found.id })
    } catch (error) {
      if (this.place === place)
        this.problem = error instanceof ApiError ? error.message : 'The batches could not be read.'
    }
  }

  async #fetch(atMs: number | null): Promise<void> {
    const batchId = this.#batchId
    try {
      const replay = await askReplay(batchId)
      if (batchId !== this.#batchId) return
      const atEnd = this.recording !== null && this.atMs >= this.recording.toMs
      this.recording = recordingOf(replay)
      if (atMs !== null) this.#move(atMs)
      else if (atEnd) this.#move(this.recording.toMs)
      else this.#chooseItself()
    } catch (error) {
      if (batchId !== this.#batchId || this.recording) return
      this.problem = error instanceof ApiError ? error.message : 'The batch could not be read.'
    }
  }

  async #judge(): Promise<void> {
    const batchId = this.#batchId
    try {
      const made = await request<Diagnosis>('GET', `/batches/${encodeURIComponent(batchId)}/diagnosis`)
      if (batchId !== this.#batchId) return
      this.diagnosis = made
      this.unjudged = ''
      this.#chooseItself()
    } catch (error) {
      if (batchId !== this.#batchId || this.diagnosis) return
      this.unjudged = error instanceof ApiError ? error.message : 'What went wrong could not be found out.'
    }
  }

  /** Without a wish the page opens where the trouble began, or at the end. */
  #chooseItself(): void {
    const { recording, diagnosis } = this
    if (!recording || !this.#unchosen) return
    const [first] = rankedCauses(diagnosis)
    this.#move((first ? beganMs(first) : null) ?? recording.toMs)
  }

  #followOpen(): void {
    if (this.recording?.replay.batch.endedAt !== null || this.#player.playing || document.hidden) return
    void this.#fetch(null)
    void this.#judge()
  }

  readonly #asked = ({ atMs }: MomentEvent): void => this.#choose(atMs)

  /** A person wants this moment: what plays stops. */
  #choose(atMs: number): void {
    this.#player.pause()
    this.#unchosen = false
    this.#stirred()
    this.#move(atMs)
    this.#write()
  }

  /** However many moments are asked for within a frame, one is drawn. */
  #move(atMs: number): void {
    const { recording } = this
    if (!recording) return
    const first = this.#wantedMs === null
    this.#wantedMs = Math.min(recording.toMs, Math.max(recording.fromMs, Math.round(atMs)))
    this.renderRoot.querySelector<TimeHandle>('bw-time-handle')?.expect(this.#wantedMs)
    if (this.atMs === 0) this.#draw()
    else if (first) requestAnimationFrame(() => this.#draw())
  }
  #draw(): void {
    if (this.#wantedMs !== null) this.atMs = this.#wantedMs
    this.#wantedMs = null
  }

  #stirred(): void {
    this.#stirredOnce = true
    for (const part of this.renderRoot.querySelectorAll<CaughtPart>('bw-caught')) part.stirred()
  }

  #pass(ms: number): boolean {
    const { recording } = this
    if (!recording) return false
    this.#stirred()
    const next = Math.min(recording.toMs, this.atMs + ms)
    this.atMs = next
    if (next < recording.toMs) return true
    this.#write()
    return false
  }

  readonly #playOrPause = (): void => {
    const { recording } = this
    if (!recording) return
    this.#unchosen = false
    if (this.#player.playing) {
      this.#player.pause()
      this.#write()
      return
    }
    if (this.atMs >= recording.toMs) this.atMs = recording.fromMs
    this.#player.play()
  }
  readonly #speed = (event: Event): void => {
    this.#player.times = Number((event.target as HTMLSelectElement).value)
    this.requestUpdate()
  }

  /** The address carries the moment, so that a link opens it: without a step back for each. */
  #write(): void {
    clearTimeout(this.#rest)
    this.#rest = setTimeout(() => {
      if (this.isConnected && this.#batchId !== '')
        history.replaceState(null, '', batchPath(this.#batchId, this.atMs))
    }, REST_MS)
  }

  readonly #copy = (): void => {
    const said = this.renderRoot.querySelector('#copied')
    const link = new URL(batchPath(this.#batchId, this.atMs), location.href).href
    const tell = (words: string) => () => {
      if (said) said.textContent = words
    }
    // Only a page that came over a safe way may write to the clipboard.
    if (!navigator.clipboard) return tell(link)()
    void navigator.clipboard.writeText(link).then(tell('Copied.'), tell(link))
  }
}
customElements.define('bw-replay-page', ReplayPage)
