import { describe, expect, it } from 'vitest'
import { anAlarm, NOW_MS } from './examples.ts'
import { bench } from './harness.ts'

const answered = { acknowledgedBy: 'The keeper', acknowledgedAtMs: NOW_MS - 12 * 60_000 }

describe('the page behind the link in a message', () => {
  it('works without sign-in, shows what to do, and acknowledges by its button alone', async () => {
    const { ask, calling } = bench({ signIn: true })
    calling.alarm = anAlarm({ action: 'Switch the lamp off.', text: 'Water is 30.1 °C.' })
    for (const method of ['GET', 'HEAD', 'GET']) {
      const response = await ask(method, '/a/good')
      expect(response.status).toBe(200)
      expect(response.headers.get('cache-control')).toBe('no-store')
      if (method === 'GET') {
        const text = await response.text()
        expect(text).toContain('<h1>Too hot, Cone 1: Switch the lamp off.</h1>')
        expect(text).toContain('<form method="post">')
        expect(text).not.toContain('<script')
      }
    }
    expect(calling.answered).toEqual([])
    const posted = await ask('POST', '/a/good', undefined, { headers: { origin: 'http://localhost' } })
    expect(posted.status).toBe(303)
    expect(posted.headers.get('location')).toBe('/a/good')
    expect(calling.answered).toEqual(['good'])
  })

  it('tells temperatures in the unit of the house first', async () => {
    const { ask, calling, room } = bench()
    await room.changeSettings({ ...room.snapshot().settings, temperatureUnit: 'F' })
    const action = 'Cool it below 29.4 °C (84.9 °F).'
    calling.alarm = anAlarm({ action, text: 'Water is 30.1 °C (86.2 °F).' })
    const text = (await (await ask('GET', '/a/good')).text()).replaceAll('\u00a0', ' ')
    expect(text).toContain('<h1>Too hot, Cone 1: Cool it below 84.9 °F (29.4 °C).</h1>')
    expect(text).toContain('Water is 86.2 °F (30.1 °C).')
  })

  it('says how old its words are, whoever opens it when', async () => {
    const { ask, calling } = bench()
    const shown = async (more: Parameters<typeof anAlarm>[0]) => {
      calling.alarm = anAlarm({ text: 'It heads for its limit in about 12 min.', ...more })
      return (await ask('GET', '/a/good')).text()
    }
    const calledMs = (minutes: number) => NOW_MS - minutes * 60_000
    expect(await shown({ announcedAtMs: calledMs(1) })).not.toContain('This is how it was')
    const state = 'return-to-normal-unacknowledged'
    for (const more of [{}, { state }, answered, { state: 'shelved' }] as const)
      expect(await shown({ announcedAtMs: calledMs(25), ...more })).toContain(
        'This is how it was 25 min ago:\nIt heads',
      )
    // Words that followed what they are about are as old as that.
    expect(await shown({ announcedAtMs: calledMs(25), saidAtMs: calledMs(4) })).toContain('was 4 min ago:')
  })

  it('sends its origin with the form, so that the guard lets it through and keeps others out', async () => {
    const { ask, calling } = bench({ signIn: true })
    expect((await ask('GET', '/a/good')).headers.get('referrer-policy')).toBe('same-origin')
    expect((await ask('GET', '/')).headers.get('referrer-policy')).toBe('no-referrer')
    const foreign = await ask('POST', '/a/good', undefined, {
      headers: { origin: 'http://elsewhere.example' },
    })
    expect(foreign.status).toBe(403)
    expect(calling.answered).toEqual([])
  })

  it('leaves no key in the log when it fails', async () => {
    const { ask, calling, logged } = bench()
    calling.answerLink = () => Promise.reject(new Error('the disk is full'))
    expect((await ask('POST', '/a/good.key', undefined)).status).toBe(500)
    expect(logged.join('')).toContain('the disk is full')
    expect(logged.join('')).not.toContain('good.key')
  })

  it('escapes what people have typed', async () => {
    const { ask, calling } = bench()
    calling.alarm = anAlarm({ action: '<img src=x onerror=alert(1)>', text: '"><script>alert(1)</script>' })
    const text = await (await ask('GET', '/a/good')).text()
    expect(text).not.toContain('<img')
    expect(text).not.toContain('<script')
  })

  it.each([
    [null, 'Over', 'nothing to do'],
    [anAlarm({ state: 'normal', ...answered }), 'Over', 'The keeper answered 12 min ago.'],
    [anAlarm({ state: 'normal', acknowledgedAtMs: null }), 'Over', 'Nobody had to answer.'],
    [anAlarm({ state: 'acknowledged', ...answered }), 'Answered', 'The keeper answered 12 min ago.'],
    [anAlarm({ state: 'latched-acknowledged', ...answered }), 'Answered', 'The keeper answered 12 min ago.'],
    [anAlarm({ state: 'shelved' }), 'Put off', 'calls again later'],
    [anAlarm({ state: 'out-of-service' }), 'Out of service', 'calls nobody'],
    [anAlarm({ state: 'suppressed-by-design' }), 'Silent', 'calls nobody now'],
  ])(
    'has no button when there is nothing to answer, and says who answered and when: %#',
    async (alarm, title, words) => {
      const { ask, calling } = bench()
      calling.alarm = alarm
      const text = await (await ask('GET', '/a/good')).text()
      expect(text).toContain(`<h1>${title}</h1>`)
      expect(text).not.toContain('<button')
      expect(text).toContain(words)
    },
  )

  it('says of a link that is not ours only that it is not valid', async () => {
    const { ask } = bench({ signIn: true })
    for (const method of ['GET', 'POST']) {
      const response = await ask(method, '/a/made-up')
      expect(response.status).toBe(404)
      expect(await response.text()).toContain('not valid')
    }
  })

  it('answers one address thirty times a minute, and others all the while', async () => {
    const { ask } = bench({ signIn: true })
    for (let n = 0; n < 30; n++) expect((await ask('GET', '/a/made-up')).status).toBe(404)
    const refused = await ask('GET', '/a/good')
    expect(refused.status).toBe(429)
    expect(refused.headers.get('retry-after')).toBe('60')
    expect((await ask('GET', '/a/good', undefined, { address: '192.168.1.7' })).status).toBe(200)
  })
})
