import { css, html, LitElement, nothing } from 'lit'
import type { ComparedBatch } from '../../broker/web/api/compare.ts'
import type { GuestBatch } from '../../broker/web/api/handover.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { bookNav, bookNavStyle } from '../book/book-nav.ts'
import { Fetched } from '../book/fetched.ts'
import { fateLine, fateStyle } from '../compare/fate.ts'
import { Verdicts } from '../compare/verdicts.ts'
import { yieldText } from '../compare/words.ts'
import { problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { batchPath, comparePath, go, reportPath } from '../state/route.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { gramsText, litresText } from '../words/amounts.ts'
import { broughtInText, bytesText } from '../words/brought-in.ts'
import { duration, moment } from '../words/time.ts'
import { bringBatch, KnownBatch } from './bring.ts'
import { knownWords } from './known.ts'

type Counts = Readonly<Record<string, NonNullable<ComparedBatch['counted']>>>

/** So many are listed at first, and so many more each time. */
const A_PAGE = 25
/** The broker gives no more at once. */
const MOST = 1000

/** All batches there have been, in whichever vessel, and those from elsewhere; and where one is brought in. */
export class BatchesPage extends LitElement {
  static override properties = {
    listed: { state: true },
    removing: { state: true },
    known: { state: true },
  }
  declare listed: number
  /** The id of the one that is about to be removed. */
  declare removing: string
  /** A file whose batch is here already, and which one that is. */
  declare known: { readonly file: File; readonly batchId: string } | null
  readonly #own = new Fetched<{ batches: Batch[]; vesselNames?: Record<string, string>; counted?: Counts }>(
    this,
    () => `/batches?limit=${MOST}&counted=true`,
  )
  readonly #guests = new Fetched<{ batches: GuestBatch[] }>(this, () => '/brought-in')
  readonly #sending = new Sending(this)
  readonly #verdicts = new Verdicts(this)
  /** Those whose fate was asked for. */
  #asked = ''

  constructor() {
    super()
    this.listed = A_PAGE
    this.removing = ''
    this.known = null
  }

  static override styles = [
    shared,
    bookNavStyle,
    fateStyle,
    css`
      li {
        display: grid;
        grid-template-columns: 1fr auto;
        gap: 2px 16px;
        align-items: center;
        padding: 10px 0;
        border-top: 1px solid var(--line);
      }
      li > .what {
        display: grid;
        gap: 2px;
        overflow-wrap: anywhere;
        min-height: 48px;
        align-content: center;
        text-decoration: none;
      }
      li > .what strong {
        text-decoration: underline;
        text-underline-offset: 3px;
      }
      .also {
        padding: 12px 0 12px 12px;
      }
      .sure {
        grid-column: 1 / -1;
        padding-top: 8px;
      }
      form {
        max-width: none;
      }
      .here {
        padding: 12px 14px;
        border-left: 4px solid var(--warm);
        background: var(--raised);
        display: grid;
        gap: 10px;
      }
      input[type='file'] {
        padding: 12px 14px;
      }
    `,
  ]

  override updated(): void {
    const ended = (this.#own.value?.batches ?? []).slice(0, this.listed).filter(each => each.endedAt !== null)
    const ids = ended.map(({ id }) => id)
    if (ids.join() === this.#asked) return
    this.#asked = ids.join()
    void this.#verdicts.ask(ids)
  }

  override render() {
    const own = this.#own.value
    const guests = this.#guests.value?.batches ?? []
    return html`<div class="page">
      ${bookNav('/batches')}
      <section>
        <h1>Batches</h1>
        <p><a class="button quiet" href=${comparePath({})}>Compare them side by side</a></p>
        ${this.#own.problem ? html`<p class="failed" role="status">${this.#own.problem}</p>` : nothing}
        ${own === null && this.#own.problem === '' ? html`<p class="soft">Looking them up…</p>` : nothing}
        ${own?.batches.length === 0 ? html`<p class="soft">None was started yet.</p>` : nothing}
        <ul>
          ${own?.batches.slice(0, this.listed).map(batch => this.#row(batch, own.vesselNames ?? {}, own.counted ?? {}))}
        </ul>
        ${
          own && own.batches.length > this.listed
            ? html`<div class="row">
                <button class="quiet" @click=${() => (this.listed += A_PAGE)}>
                  Show more of ${own.batches.length}
                </button>
              </div>`
            : nothing
        }
      </section>
      <section>
        <h2>From elsewhere</h2>
        <p>
          A batch that somebody handed you as a file stands here beside yours: it is played back and judged,
          and nothing of your own hangs on it.
        </p>
        <form @submit=${(event: Event) => event.preventDefault()}>
          <label class="field"
            >Bring a batch in
            <input type="file" accept=".gz,.json,application/gzip,application/json" @change=${this.#bring} />
          </label>
        </form>
        ${this.known ? this.#isHere(this.known) : problem(this.#sending)}
        <p class="soft" role="status">${this.#sending.busy ? 'Reading the file…' : ''}</p>
        ${this.#guests.problem ? html`<p class="failed" role="status">${this.#guests.problem}</p>` : nothing}
        <ul>
          ${guests.map(guest => this.#guest(guest))}
        </ul>
      </section>
    </div>`
  }

  #row(batch: Batch, names: Readonly<Record<string, string>>, counts: Counts) {
    const name = names[batch.vesselId] ?? 'a vessel that is gone'
    const lasted =
      batch.endedAt === null ? 'open' : duration(Date.parse(batch.endedAt) - Date.parse(batch.startedAt))
    return html`<li>
      <a class="what" href=${batchPath(batch.id)}>
        <strong>${name}, ${moment(Date.parse(batch.startedAt), store.clock.nowMs(), zone)}</strong>
        <span
          ><b>${yieldText({ counted: counts[batch.id] ?? null })}</b>; ${lasted};
          ${mix(batch)}${batch.note ? `; ${batch.note}` : ''}</span
        >
        ${batch.endedAt === null ? '' : fateLine(batch, this.#verdicts.of(batch.id))}
      </a>
      <a class="also" href=${reportPath(batch.id)}>Report<span class="hidden"> of ${name}</span></a>
    </li>`
  }

  #guest(guest: GuestBatch) {
    const { id, vesselName, startedAt, endedAt, broughtIn, bytes } = guest
    const nowMs = store.clock.nowMs()
    const lasted =
      endedAt === null ? 'open when written' : duration(Date.parse(endedAt) - Date.parse(startedAt))
    return html`<li>
      <a class="what" href=${batchPath(id)}>
        <strong>${vesselName}, ${moment(Date.parse(startedAt), nowMs, zone)}</strong>
        <span>${lasted}; ${mix(guest)}</span>
        <span class="soft">${broughtInText(broughtIn, nowMs, zone)} ${bytesText(bytes)}.</span>
      </a>
      <button
        class="quiet"
        aria-expanded=${this.removing === id}
        @click=${() => (this.removing = this.removing === id ? '' : id)}
      >
        Remove<span class="hidden"> the batch from ${vesselName}</span>
      </button>
      ${
        this.removing === id
          ? html`<div class="row sure">
              <span>It is gone from here; whoever wrote it has it still.</span>
              <button @click=${() => this.#remove(id)}>Remove it</button>
            </div>`
          : nothing
      }
    </li>`
  }

  #isHere({ file, batchId }: NonNullable<BatchesPage['known']>) {
    const own = this.#own.value
    const batch = own?.batches.find(({ id }) => id === batchId)
    const guest = this.#guests.value?.batches.find(({ id }) => id === batchId)
    const words = batch
      ? knownWords({ ...batch, vesselName: own?.vesselNames?.[batch.vesselId] }, 'own', zone, nowMs())
      : guest
        ? knownWords(guest, 'guest', zone, nowMs())
        : this.#sending.problem
    return html`<div class="here" tabindex="-1" role="alert">
      <p>${words}</p>
      <div class="row">
        <a class="button" href=${batchPath(batchId)}>Open the one that is here</a>
        <button class="quiet" ?disabled=${this.#sending.busy} @click=${() => this.#take(file, 'copy')}>
          Bring it in as a copy
        </button>
      </div>
    </div>`
  }

  readonly #bring = async (event: Event): Promise<void> => {
    const input = event.target as HTMLInputElement
    const file = input.files?.[0]
    if (!file) return
    await this.#take(file, 'guest')
    input.value = ''
  }

  async #take(file: File, as: 'guest' | 'copy'): Promise<void> {
    let batchId = ''
    let hereId = ''
    this.known = null
    const done = await this.#sending.send(async () => {
      try {
        batchId = (await bringBatch(file, as)).batchId
      } catch (error) {
        if (error instanceof KnownBatch) hereId = error.batchId
        throw error
      }
    })
    if (done) go(batchPath(batchId))
    else if (hereId !== '') this.known = { file, batchId: hereId }
  }

  async #remove(id: string): Promise<void> {
    const done = await this.#sending.send(() => request('DELETE', `/brought-in/${encodeURIComponent(id)}`))
    if (!done) return
    this.removing = ''
    await this.#guests.again()
    this.renderRoot.querySelector<HTMLElement>('input[type="file"]')?.focus()
  }
}
customElements.define('bw-batches', BatchesPage)

const nowMs = (): number => store.clock.nowMs()

function mix({ litres, cystsG, lot }: Pick<Batch, 'litres' | 'cystsG' | 'lot'>): string {
  return `${litresText(litres)}, ${gramsText(cystsG)} cysts${lot ? ` of ${lot}` : ''}`
}
