import { css, html, LitElement, nothing, svg } from 'lit'
import type {
  AuditList,
  PeopleIn,
  PersonIn,
  PersonLink,
  SessionList,
  TokenList,
} from '../../broker/web/api/session.ts'
import { defineFor } from '../frame/for-role.ts'
import { fieldText, line, list, problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { store } from '../state/store.ts'
import { zone } from '../state/zone.ts'
import { shared } from '../style/shared.ts'
import { moment } from '../words/time.ts'

type Session = SessionList['sessions'][number]
type Line = AuditList['lines'][number]

const ROLES = [
  { value: 'helper', text: 'Helper: does the daily work' },
  { value: 'viewer', text: 'Viewer: looks, and changes nothing' },
] as const
const LINES = 20

/** Who may sign in besides the owner, who is signed in, and what was done. */
export class WhoIsIn extends LitElement {
  static override properties = {
    people: { state: true },
    sessions: { state: true },
    tokens: { state: true },
    lines: { state: true },
    made: { state: true },
    picture: { state: true },
    sure: { state: true },
  }
  declare people: PersonIn[] | null
  declare sessions: Session[]
  declare tokens: TokenList['tokens']
  declare lines: Line[]
  declare made: PersonLink | null
  declare picture: { readonly side: number; readonly path: string } | null
  /** Who is about to be let in no more. */
  declare sure: string
  readonly #sending = new Sending(this)
  readonly #adding = new Sending(this)
  readonly #draft = new FormDraft(this, () => 'add-person')

  static override styles = [
    shared,
    css`
      ul {
        display: grid;
        gap: 12px;
      }
      li,
      .made {
        display: grid;
        gap: 8px;
        overflow-wrap: anywhere;
      }
      svg {
        width: min(100%, 240px);
        background: #fff;
        border-radius: 12px;
      }
    `,
  ]

  constructor() {
    super()
    this.people = null
    this.sessions = []
    this.tokens = []
    this.lines = []
    this.made = null
    this.picture = null
    this.sure = ''
  }

  override connectedCallback(): void {
    super.connectedCallback()
    void this.#ask()
  }

  override render() {
    const { people } = this
    if (people === null) return html`<p class="soft">Looking it up…</p>`
    return html`<section>
      <p class="soft">
        The password that was set on the machine is the owner’s. Let others in by a link of their own.
      </p>
      <ul aria-label="Who may sign in">
        ${people.map(person => html`<li>${this.#person(person)}</li>`)}
      </ul>
      ${this.made === null ? nothing : this.#link(this.made)} ${problem(this.#sending)}
      <form novalidate @submit=${this.#add}>
        ${line('name', 'Name', this.#adding, { maxLength: 60, required: true })}
        ${list('role', 'What they may do', this.#adding, 'helper', ROLES)} ${problem(this.#adding)}
        <div class="row"><button ?disabled=${this.#adding.busy}>Make a link</button></div>
      </form>
      <details>
        <summary>Signed in now: ${this.sessions.length}</summary>
        <ul>
          ${this.sessions.map(session => html`<li>${this.#session(session)}</li>`)}
        </ul>
      </details>
      ${
        this.tokens.length === 0
          ? nothing
          : html`<details>
              <summary>Tokens of programs: ${this.tokens.length}</summary>
              <ul>
                ${this.tokens.map(
                  ({ name, role }) =>
                    html`<li>
                      <p>${name}, ${role}</p>
                      ${this.#end(`/tokens/${encodeURIComponent(name)}`, `End the token ${name}`)}
                    </li>`,
                )}
              </ul>
            </details>`
      }
      <details>
        <summary>What was done</summary>
        <ul aria-label="The newest first">
          ${this.lines.map(
            each =>
              html`<li>
                <p>
                  ${when(each.at)}: ${each.who}
                  ${each.act}${each.subject === null ? '' : ` (${each.subject})`}${each.failed ? ', refused' : ''}
                </p>
                <p class="soft">${each.address === null ? 'at the machine' : `from ${each.address}`}</p>
              </li>`,
          )}
        </ul>
      </details>
    </section>`
  }

  #person({ id, name, role, linkUntil }: PersonIn) {
    const path = `/people/${encodeURIComponent(id)}`
    const other = role === 'helper' ? 'viewer' : 'helper'
    const waits = linkUntil === null ? '' : `; the link waits until ${when(linkUntil)}`
    return html`<p><strong>${name}</strong>, ${role}${waits}</p>
      <div class="row">
        <button
          class="quiet small"
          @click=${() => this.#do(() => request('PUT', `${path}/role`, { role: other }))}
        >
          Make ${name} a ${other}
        </button>
        <button
          class="quiet small"
          @click=${() => this.#do(async () => this.#show(await request<PersonLink>('POST', `${path}/link`)))}
        >
          New link for ${name}
        </button>
        ${
          this.sure === id
            ? this.#end(path, `Yes, ${name} is out`)
            : html`<button class="quiet small" @click=${() => (this.sure = id)}>
                Let ${name} in no more…
              </button>`
        }
      </div>`
  }

  #link({ person, path }: PersonLink) {
    const address = `${location.origin}${path}`
    const { picture } = this
    return html`<div class="made" role="status">
      <p>
        This link lets ${person.name} in, once, within three days. It is shown now and never again: send it,
        or let ${person.name} scan the picture.
      </p>
      <p><strong>${address}</strong></p>
      ${
        picture === null
          ? nothing
          : html`<figure>
              ${svg`<svg viewBox="0 0 ${picture.side} ${picture.side}" role="img" aria-label="QR code: the link" shape-rendering="crispEdges"><path d=${picture.path} fill="#000" /></svg>`}
            </figure>`
      }
    </div>`
  }

  #session({ id, name, role, openedAt, address, agent, own }: Session) {
    return html`<p>
        <strong>${name ?? 'The owner'}</strong>, ${role}, since ${when(openedAt)}${own ? ', here' : ''}
      </p>
      <p class="soft">${address ?? 'from an unknown address'}${agent ? `; ${agent}` : ''}</p>
      ${own ? nothing : this.#end(`/sessions/${encodeURIComponent(id)}`, `End this session of ${name ?? 'the owner'}`)}`
  }

  #end(path: string, words: string) {
    return html`<button
      class="quiet small"
      ?disabled=${this.#sending.busy}
      @click=${() => this.#do(() => request('DELETE', path))}
    >
      ${words}
    </button>`
  }

  async #do(act: () => Promise<unknown>): Promise<void> {
    this.sure = ''
    if (await this.#sending.send(act)) await this.#ask()
  }

  readonly #add = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const form = event.currentTarget as HTMLFormElement
    const [name, role] = [fieldText(form, 'name').trim(), fieldText(form, 'role')]
    if (name === '') return this.#adding.refuse(new Map([['name', 'Who is it?']]))
    const made = this.#adding.send(async () =>
      this.#show(await request<PersonLink>('POST', '/people', { name, role })),
    )
    if (!(await made)) return
    this.#draft.drop()
    form.reset()
    await this.#ask()
  }

  async #show(made: PersonLink): Promise<void> {
    this.made = made
    this.picture = null
    const { qrPath } = await import('../device/qr.ts')
    this.picture = qrPath(`${location.origin}${made.path}`)
  }

  async #ask(): Promise<void> {
    try {
      const [people, sessions, tokens, audit] = await Promise.all([
        request<PeopleIn>('GET', '/people'),
        request<SessionList>('GET', '/sessions'),
        request<TokenList>('GET', '/tokens'),
        request<AuditList>('GET', `/audit?limit=${LINES}`),
      ])
      this.people = people.people
      this.sessions = sessions.sessions
      this.tokens = tokens.tokens
      this.lines = audit.lines
    } catch {
      // Whoever may not look is told so by the element that stands here instead.
    }
  }
}
const when = (at: string): string => moment(Date.parse(at), store.clock.nowMs(), zone)

defineFor('owner', 'bw-who-is-in', WhoIsIn)
