import { css, html, LitElement, nothing } from 'lit'
import type { ImportReport, TableList } from '../../broker/web/api/tables.ts'
import { problem, Sending } from '../forms/form.ts'
import { ApiError, problemError } from '../state/api.ts'
import { shared } from '../style/shared.ts'
import { bookNav, bookNavStyle } from './book-nav.ts'
import { Fetched } from './fetched.ts'

/** All that was written down, as files; and such files brought in again. */
export class TablesPage extends LitElement {
  static override properties = { report: { state: true } }
  /** What became of the rows that were brought in last. */
  declare report: ImportReport | null
  readonly #tables = new Fetched<TableList>(this, () => '/tables')
  readonly #sending = new Sending(this)

  constructor() {
    super()
    this.report = null
  }

  static override styles = [
    shared,
    bookNavStyle,
    css`
      li {
        display: grid;
        grid-template-columns: 1fr auto;
        gap: 4px 16px;
        align-items: center;
        padding: 8px 0;
        border-top: 1px solid var(--line);
      }
      li span {
        overflow-wrap: anywhere;
      }
      .report {
        padding: 12px 16px;
        background: var(--raised);
        border-left: 4px solid var(--right);
        border-radius: 4px;
      }
      .report.partly {
        border-left-color: var(--warm);
      }
      form {
        max-width: none;
      }
      input[type='file'] {
        padding: 12px 14px;
      }
    `,
  ]

  override render() {
    const tables = this.#tables.value?.tables ?? []
    return html`<div class="page">
      ${bookNav('/tables')}
      <section>
        <h1>Write out</h1>
        <p>
          What was written down, in one file that can be brought in again, or each table for a spreadsheet.
          Headings have the unit behind the name.
        </p>
        <p>
          Not in it are the limits and other settings, the people, the devices, the journal of the alarms,
          readings and photos: they are in the daily backup, or in a dump of the database where the room is
          kept in PostgreSQL.
        </p>
        <div class="row">
          <a class="button" href="/api/v1/export" download="brinewatch.json">All tables, as JSON</a>
        </div>
        ${this.#tables.problem ? html`<p class="failed" role="status">${this.#tables.problem}</p>` : nothing}
        <ul>
          ${tables.map(
            ({ name, about }) =>
              html`<li>
                <span><strong>${name}</strong>: ${about}</span>
                <a class="button quiet" href="/api/v1/export/${name}" download="${name}.csv"
                  >CSV<span class="hidden"> of ${name}</span></a
                >
              </li>`,
          )}
        </ul>
      </section>
      <section>
        <h2>Bring in</h2>
        <p>
          What is here already stays as it is, whatever the file says of it. Rows that cannot be taken are
          kept aside, as they came, with the reason. A file of one table is called after it: batches.csv.
        </p>
        <form @submit=${(event: Event) => event.preventDefault()}>
          <label class="field"
            >File of JSON or CSV
            <input type="file" accept=".json,.csv,application/json,text/csv" @change=${this.#bring} />
          </label>
        </form>
        ${problem(this.#sending)}
        <div role="status">${this.report ? this.#told(this.report) : nothing}</div>
      </section>
    </div>`
  }

  #told({ tables, refusals }: ImportReport) {
    const refused = tables.reduce((sum, table) => sum + table.refused, 0)
    return html`<div class="report ${refused > 0 ? 'partly' : ''}">
      ${tables.map(
        ({ table, added, same, refused: not }) =>
          html`<p>
            <strong>${table}</strong>: ${added} new, ${same} here
            already${not > 0 ? `, ${not} kept aside` : ''}
          </p>`,
      )}
      ${
        refusals.length === 0
          ? nothing
          : html`<details>
              <summary>Why</summary>
              <ul>
                ${refusals.map(({ table, row, why }) => html`<li><span>${table}, row ${row} below the headings: ${why}</span></li>`)}
              </ul>
            </details>`
      }
    </div>`
  }

  readonly #bring = async (event: Event): Promise<void> => {
    const input = event.target as HTMLInputElement
    const file = input.files?.[0]
    if (!file) return
    this.report = null
    await this.#sending.send(async () => {
      this.report = await bringIn(file)
    })
    input.value = ''
  }
}
customElements.define('bw-tables', TablesPage)

async function bringIn(file: File): Promise<ImportReport> {
  const isCsv = file.name.toLowerCase().endsWith('.csv')
  // A browser numbers a file that is there already: "batches (1).csv".
  const table = /^[a-z-]+/i.exec(file.name)?.[0].toLowerCase() ?? ''
  let response: Response
  try {
    response = await fetch(isCsv ? `/api/v1/import/${encodeURIComponent(table)}` : '/api/v1/import', {
      method: 'POST',
      credentials: 'same-origin',
      headers: { 'content-type': isCsv ? 'text/csv' : 'application/json' },
      body: await file.text(),
    })
  } catch {
    throw new ApiError(0, 'The broker cannot be reached. Try again: what was taken is not taken twice.')
  }
  const answer: unknown = await response.json().catch(() => null)
  if (!response.ok) throw problemError(response.status, answer as Parameters<typeof problemError>[1])
  return answer as ImportReport
}
