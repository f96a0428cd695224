import { css, html, LitElement, nothing } from 'lit'
import { CLEANING_CAUTIONS, CLEANING_STEPS, type CleaningHow } from '../../broker/hatch/care/cleaning.ts'
import type { CleaningList } from '../../broker/web/api/books.ts'
import { fieldText, foot, line, problem, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { Frames, Tick, Watch } from '../state/watch.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { moment } from '../words/time.ts'
import { bookNav, bookNavStyle } from './book-nav.ts'
import { Fetched } from './fetched.ts'

type VesselCleaning = CleaningList['vessels'][number]
const HOWS = ['hot-water', 'disinfected'] as const satisfies readonly CleaningHow[]
const HOW_WORDS: Readonly<Record<CleaningHow, string>> = {
  'hot-water': 'Hot water',
  disinfected: 'Disinfected',
}
/** So many newest entries of a vessel are shown. */
const SHOWN = 5

/** What is to be cleaned, what was, and how it is done with its cautions. */
export class CleaningPage extends LitElement {
  readonly #cleaning = new Fetched<CleaningList>(this, () => '/cleaning')
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #tick = new Tick(this, 60_000)
  readonly #sending = new Sending(this)
  readonly #policy = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.#cleaning.value ? 'cleaning-policy' : null))

  constructor() {
    super()
    new Frames(this, frame => {
      if (frame.fresh) void this.#cleaning.again()
    })
  }

  static override styles = [
    shared,
    bookNavStyle,
    css`
      ul.vessels {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 380px), 1fr));
        gap: 32px 40px;
      }
      article {
        display: grid;
        gap: 10px;
        padding-top: 14px;
        border-top: 6px solid var(--plank-face);
      }
      .due {
        font-weight: 700;
        color: var(--warm);
      }
      .due::before {
        content: '● ';
      }
      .well::before {
        content: '✓ ';
        color: var(--right);
      }
      .how {
        display: grid;
        gap: 28px 40px;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 340px), 1fr));
      }
      ol {
        margin: 0;
        padding-left: 22px;
        display: grid;
        gap: 8px;
      }
      .caution {
        padding: 8px 14px;
        border-left: 4px solid var(--warm);
        background: var(--raised);
        border-radius: 4px;
      }
      .log li {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 12px;
        justify-content: space-between;
        align-items: center;
        border-top: 1px solid var(--line);
        padding: 4px 0;
      }
      .log button {
        min-height: 48px;
        border: 0;
        padding: 6px 0;
        font-weight: 500;
        text-decoration: underline;
        text-underline-offset: 4px;
      }
    `,
  ]

  override render() {
    const list = this.#cleaning.value
    return html`<div class="page">
      ${bookNav('/cleaning')}
      <h1>Cleaning</h1>
      ${this.#cleaning.problem ? html`<p class="failed" role="status">${this.#cleaning.problem}</p>` : nothing}
      ${problem(this.#sending)}
      ${
        list
          ? html`<ul class="vessels">
              ${list.vessels.map(each => html`<li>${this.#vessel(each)}</li>`)}
            </ul>`
          : html`<p class="soft">Looking at the glass…</p>`
      }
      <div class="how">${HOWS.map(how => this.#steps(how))}</div>
      ${list ? this.#policyForm(list.policy) : nothing}
    </div>`
  }

  #vessel(of: VesselCleaning) {
    const nowMs = this.#tick.nowMs
    const name = this.#vessels.value.get(of.vesselId)?.name ?? 'A vessel that is gone'
    const last = of.lastDisinfectedAt
    return html`<article>
      <h2>${name}</h2>
      ${of.disinfect ? html`<p class="due">Disinfect it. ${of.disinfect.words}</p>` : nothing}
      ${of.hotWater ? html`<p class="due">Hot water. ${of.hotWater.words}</p>` : nothing}
      ${of.disinfect || of.hotWater ? nothing : html`<p class=${of.isEmpty ? 'well' : ''}>${of.isEmpty ? 'Clean.' : 'In use.'}</p>`}
      <p class="soft">
        ${last ? `Disinfected ${moment(Date.parse(last), nowMs, zone)}` : 'Never disinfected that is known'}${endedText(of)}.
      </p>
      ${
        of.isEmpty
          ? html`<div class="row">
              ${HOWS.map(
                how =>
                  html`<button
                    class="quiet"
                    ?disabled=${this.#sending.busy}
                    @click=${() => void this.#clean(of.vesselId, how)}
                  >
                    ${HOW_WORDS[how]}<span class="hidden">: ${name} was cleaned so just now</span>
                  </button>`,
              )}
            </div>`
          : html`<p>A batch is in it: it can be cleaned, and written down here, once that has ended.</p>`
      }
      ${this.#log(of, nowMs)}
    </article>`
  }

  #log({ log }: VesselCleaning, nowMs: number) {
    if (log.length === 0) return nothing
    return html`<ul class="log" aria-label="What was cleaned">
      ${log.slice(0, SHOWN).map(entry => {
        const text = `${moment(Date.parse(entry.at), nowMs, zone)}: ${HOW_WORDS[entry.how].toLowerCase()}`
        if (entry.withdrawnAt !== null) return html`<li class="soft"><del>${text}</del> taken back</li>`
        return html`<li>
          <span>${text} <span class="soft">· ${entry.by}</span></span>
          <button class="quiet" @click=${() => void this.#takeBack(entry.id)}>
            Take back<span class="hidden">: ${text}</span>
          </button>
        </li>`
      })}
    </ul>`
  }

  #steps(how: CleaningHow) {
    return html`<section>
      <h2>${how === 'hot-water' ? 'With hot water, after each batch' : 'With bleach, when it is due'}</h2>
      ${CLEANING_CAUTIONS[how].map(words => html`<p class="caution">${words}</p>`)}
      <ol>
        ${CLEANING_STEPS[how].map(words => html`<li>${words}</li>`)}
      </ol>
    </section>`
  }

  #policyForm({ everyBatches, everyDays }: CleaningList['policy']) {
    return html`<section>
      <h2>When to disinfect</h2>
      <form novalidate @submit=${this.#keepPolicy}>
        <div class="pair">
          ${line('everyBatches', 'After so many batches', this.#policy, { value: String(everyBatches), numeric: true })}
          ${line('everyDays', 'Or so many days', this.#policy, { value: String(everyDays), numeric: true })}
        </div>
        <p class="soft">And at once when the hatch of a lot declines: the vessel is the first suspect.</p>
        ${foot(this.#policy, html`<button ?disabled=${this.#policy.busy}>Save</button>`)}
      </form>
    </section>`
  }

  async #clean(vesselId: string, how: CleaningHow): Promise<void> {
    const path = `/vessels/${encodeURIComponent(vesselId)}/cleanings`
    if (await this.#sending.send(() => request('POST', path, { how }))) await this.#cleaning.again()
  }

  async #takeBack(id: string): Promise<void> {
    const path = `/cleanings/${encodeURIComponent(id)}/withdraw`
    if (await this.#sending.send(() => request('POST', path))) await this.#cleaning.again()
  }

  readonly #keepPolicy = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const number = (name: string) => readNumber(fieldText(form, name))
    const [everyBatches, everyDays] = [number('everyBatches'), number('everyDays')]
    const wrong = new Map<string, string>()
    if (everyBatches === null) wrong.set('everyBatches', 'Write a whole number.')
    if (everyDays === null) wrong.set('everyDays', 'Write a whole number.')
    if (wrong.size > 0) return this.#policy.refuse(wrong)
    const done = await this.#policy.send(() =>
      request('PUT', '/cleaning/policy', { everyBatches, everyDays }),
    )
    if (!done) return
    this.#draft.drop()
    await this.#cleaning.again()
  }
}
customElements.define('bw-cleaning', CleaningPage)

/** Of a vessel that was never disinfected all its batches are told, and none when there was none. */
function endedText({ batchesSince, lastDisinfectedAt }: VesselCleaning): string {
  if (batchesSince === 0) return lastDisinfectedAt === null ? '' : ', no batch ended since'
  const many = batchesSince === 1 ? 'one batch' : `${batchesSince} batches`
  return `, ${many} ended ${lastDisinfectedAt === null ? 'so far' : 'since'}`
}
