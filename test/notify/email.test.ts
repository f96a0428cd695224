import { createServer, type AddressInfo, type Socket } from 'node:net'
import { afterEach, describe, expect, it } from 'vitest'
import { createEmail } from '../../broker/notify/email.ts'
import type { SmtpSettings } from '../../broker/notify/people.ts'
import { aMessage, failureOf } from './rig/message.ts'
import { refusal, startMail, type MailServer } from './rig/mail.ts'

const never = new AbortController().signal
const PASSWORD = 'not to be seen'

function settings(port: number, more: Partial<SmtpSettings> = {}): SmtpSettings {
  return {
    host: '127.0.0.1',
    port,
    security: 'none',
    user: null,
    password: null,
    from: 'hatchery@example.org',
    ...more,
  }
}

describe('e-mail', () => {
  const open: { close(): unknown }[] = []
  afterEach(async () => {
    for (const each of open.splice(0)) await each.close()
  })
  async function server(options: Parameters<typeof startMail>[0] = {}): Promise<MailServer> {
    const mail = await startMail(options)
    open.push(mail)
    return mail
  }
  const through = (port: number, more: Partial<SmtpSettings> = {}) =>
    createEmail({ settings: () => settings(port, more) })

  it('is plain text, its subject says what to do, and each attempt has the same Message-ID', async () => {
    const mail = await server()
    await through(mail.port).send(aMessage(), 'keeper@example.org', never)
    await through(mail.port).send(aMessage(), 'keeper@example.org', never)
    expect(mail.mails).toHaveLength(2)
    const [{ from, to, raw }] = mail.mails as [any]
    expect([from, to]).toEqual(['hatchery@example.org', ['keeper@example.org']])
    expect(raw).toMatch(/^Subject: Too hot, Cone 1: Switch the lamp off\r$/m)
    expect(raw).toMatch(/^Content-Type: text\/plain; charset=utf-8\r$/m)
    expect(raw.replaceAll('=\r\n', '')).toContain('http://192.168.1.20:8080/a/token')
    expect(raw).not.toMatch(/<html|multipart/i)
    for (const each of mail.mails)
      expect(each.raw).toMatch(/^Message-ID: <x1\.1\.raised\.p1\.a1@example\.org>\r$/m)
  })

  it('lets nothing that somebody typed add a header or a recipient', async () => {
    const mail = await server()
    const title = 'Lamp\r\nBcc: other@example.org\r\n\r\nbody'
    await through(mail.port).send(aMessage({ title }), 'keeper@example.org', never)
    await failureOf(through(mail.port).send(aMessage(), 'keeper@example.org, other@example.org', never))
    const [only, ...more] = mail.mails
    expect(more).toEqual([])
    expect(only!.to).toEqual(['keeper@example.org'])
    expect(only!.raw).not.toMatch(/^Bcc:/im)
  })

  it('tries again after a greylisting, and gives up when it is refused for good', async () => {
    let asked = 0
    const grey = await server({
      onRcptTo: (_, __, done) => (asked++ === 0 ? done(refusal(451, 'Greylisted, come back later')) : done()),
    })
    const first = await failureOf(through(grey.port).send(aMessage(), 'keeper@example.org', never))
    expect(first).toMatchObject({ name: 'DeliveryError', failure: 'temporary' })
    expect(first.message).toContain('451')
    await through(grey.port).send(aMessage(), 'keeper@example.org', never)
    expect(grey.mails).toHaveLength(1)
    const deaf = await server({ onRcptTo: (_, __, done) => done(refusal(550, 'No such mailbox')) })
    const error = await failureOf(through(deaf.port).send(aMessage(), 'keeper@example.org', never))
    expect(error).toMatchObject({ failure: 'permanent' })
    expect(error.message).toContain('No such mailbox')
    const full = await server({
      onData: (stream, _, done) => (stream.resume(), stream.on('end', () => done(refusal(452, 'Disk full')))),
    })
    expect(await failureOf(through(full.port).send(aMessage(), 'k@example.org', never))).toMatchObject({
      failure: 'temporary',
    })
  })

  it('signs in, and tells a wrong password without telling the password', async () => {
    const mail = await server({
      authOptional: false,
      allowInsecureAuth: true,
      onAuth: ({ username, password }, _, done) =>
        username === 'me' && password === PASSWORD
          ? done(null, { user: 'me' })
          : done(new Error(`not ${password}`)),
    })
    await through(mail.port, { user: 'me', password: PASSWORD }).send(aMessage(), 'k@example.org', never)
    expect(mail.mails).toHaveLength(1)
    const wrong = { user: 'me', password: `${PASSWORD} at all` }
    const error = await failureOf(through(mail.port, wrong).send(aMessage(), 'k@example.org', never))
    expect(error).toMatchObject({ failure: 'temporary' })
    expect(error.message).not.toContain(PASSWORD)
  })

  it('sends nothing in the clear when encryption is wanted', async () => {
    const mail = await server()
    const error = await failureOf(
      through(mail.port, { security: 'starttls' }).send(aMessage(), 'k@example.org', never),
    )
    expect(error.failure).toBe('temporary')
    expect(mail.mails).toEqual([])
  })

  it('says what is wrong when nobody is there, and settles at once when a silent server is given up', async () => {
    const mail = await server()
    await mail.close()
    const gone = await failureOf(through(mail.port).send(aMessage(), 'k@example.org', never))
    expect(gone).toMatchObject({ failure: 'temporary' })
    expect(gone.message).toContain('nothing listens')
    const sockets = new Set<Socket>()
    const silent = createServer(socket => void sockets.add(socket.on('error', () => undefined)))
    await new Promise<void>(resolve => silent.listen(0, '127.0.0.1', resolve))
    const stop = new AbortController()
    setTimeout(() => stop.abort(), 50)
    const from = Date.now()
    const { port } = silent.address() as AddressInfo
    await failureOf(through(port).send(aMessage(), 'k@example.org', stop.signal))
    expect(Date.now() - from).toBeLessThan(2000)
    for (const socket of sockets) socket.destroy()
    await new Promise(resolve => silent.close(resolve))
  })

  it('says so when no server is set up', async () => {
    const none = createEmail({ settings: () => null })
    expect(await failureOf(none.send(aMessage(), 'k@example.org', never))).toMatchObject({
      failure: 'permanent',
    })
  })
})
