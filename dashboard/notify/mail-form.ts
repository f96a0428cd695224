import { html, LitElement, nothing } from 'lit'
import type { ChangeNotify, NotifySettings } from '../../broker/web/api/notify.ts'
import { fieldText, foot, line, list, readNumber, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { whereLinksLead } from '../words/called.ts'
import { asSent } from './draft.ts'
import { notifyStyle } from './style.ts'

/** The usual ports of a mail server that takes messages in: RFC 8314 section 3.3, RFC 6409 section 3.1. */
const PORT = { tls: 465, starttls: 587, none: 25 } as const

/** Under which name what was typed here and not saved is kept. */
export const MAIL_DRAFT = 'mail'

/** By what messages leave: the mail server, the webhooks' signature, and where links lead. */
export class MailForm extends LitElement {
  static override properties = { settings: { attribute: false } }
  declare settings: NotifySettings | null
  readonly #sending = new Sending(this)
  readonly #draft = new FormDraft(this, () => (this.settings ? MAIL_DRAFT : null))
  static override styles = [shared, notifyStyle]

  constructor() {
    super()
    this.settings = null
  }

  override render() {
    const { settings } = this
    if (!settings) return nothing
    const { email } = settings
    const text = (name: string, label: string, value: string, more: Parameters<typeof line>[3] = {}) =>
      line(name, label, this.#sending, { value, ...more })
    const kept = (is: boolean) => (is ? 'One is kept. Write another to replace it.' : nothing)
    return html`<form novalidate @submit=${this.#submit} @input=${this.#sending.changed}>
      <h4>Mail server</h4>
      ${text('email.host', 'Server', email?.host ?? '', { hint: 'Like mail.example.org. Empty: no e-mail.' })}
      <div class="pair">
        ${list('email.security', 'Encryption', this.#sending, email?.security ?? 'tls', [
          { value: 'tls', text: `From the start (${PORT.tls})` },
          { value: 'starttls', text: `STARTTLS (${PORT.starttls})` },
          { value: 'none', text: `None (${PORT.none})` },
        ])}
        ${text('email.port', 'Port', String(email?.port ?? PORT.tls), { numeric: true })}
      </div>
      ${text('email.user', 'User name', email?.user ?? '', { hint: 'Empty: no sign-in.' })}
      ${text('email.password', 'Password', '', { type: 'password', hint: kept(email?.hasPassword ?? false) })}
      ${text('email.from', 'Sender', email?.from ?? '', { hint: 'The address that messages come from.' })}
      <h4>Webhooks and links</h4>
      ${text('webhook.secret', 'Secret that signs webhooks', '', {
        type: 'password',
        hint: settings.webhook.hasSecret
          ? kept(true)
          : 'Your receiver can check with it that a message comes from here. Empty: not signed.',
      })}
      ${text(
        'push.contact',
        'Contact for push services',
        (settings.push.contact ?? '').replace(/^mailto:/, ''),
        {
          hint: 'An e-mail address or a page, for whoever runs the service that wakes your phone: it can write there before it blocks anything. Empty: the address of this dashboard, if it begins with https.',
        },
      )}
      ${text('publicUrl', 'Address of this dashboard', settings.publicUrl ?? '', {
        hint: whereLinksLead(settings.linkBase),
      })}
      <label class="choice"
        ><input type="checkbox" name="tellWhenOver" .checked=${settings.tellWhenOver} /> Tell those who were
        called when it is over</label
      >
      ${foot(this.#sending, html`<button ?disabled=${this.#sending.busy}>Save how messages leave</button>`)}
    </form>`
  }

  readonly #submit = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { settings } = this
    if (!settings) return
    const form = event.currentTarget as HTMLFormElement
    const text = (name: string) => fieldText(form, name)
    const port = readNumber(text('email.port'))
    const host = text('email.host').trim()
    if (host !== '' && (port === null || !Number.isInteger(port)))
      return this.#sending.refuse(new Map([['email.port', 'Write a whole number.']]))
    const secret = text('webhook.secret')
    const sent: ChangeNotify = {
      ...asSent(settings),
      tellWhenOver: text('tellWhenOver') !== '',
      publicUrl: text('publicUrl').trim() || null,
      email:
        host === ''
          ? null
          : {
              host,
              port: port ?? PORT.tls,
              security: text('email.security') as 'tls',
              user: text('email.user') || null,
              from: text('email.from'),
              ...(text('email.password') === '' ? {} : { password: text('email.password') }),
            },
      webhook: secret === '' ? {} : { secret },
      push: { contact: text('push.contact').trim() || null },
    }
    if (!(await this.#sending.send(() => request('PUT', '/notify', sent)))) return
    for (const name of ['email.password', 'webhook.secret'])
      (form.elements.namedItem(name) as HTMLInputElement).value = ''
    this.#draft.drop()
    // Not "done": somebody may be writing in another form beside this one.
    this.dispatchEvent(new CustomEvent('bw-saved', { bubbles: true, composed: true }))
  }
}
customElements.define('bw-mail', MailForm)
