import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { ChannelHealth, type ChannelReport } from '../../broker/notify/channel-health.ts'
import { DeliveryError, type Channel, type Message } from '../../broker/notify/contract.ts'
import { newDelivery } from '../../broker/notify/delivery.ts'
import { Outbox, type OutboxParts } from '../../broker/notify/outbox.ts'
import type { DeliveryRow } from '../../broker/store/contract.ts'
import { aMessage, SENT_MS, soon } from './rig/message.ts'

/** A store that loses nothing, and one that keeps nothing. */
function memory() {
  const rows = new Map<string, DeliveryRow>()
  return {
    rows,
    full: false,
    async keepDelivery(row: DeliveryRow) {
      if (this.full) throw new Error('The disk is full')
      rows.set(row.id, row)
    },
    async waitingDeliveries() {
      return [...rows.values()].filter(({ doneAtMs }) => doneAtMs === null)
    },
  }
}

describe('the outbox', () => {
  let nowMs: number
  let store: ReturnType<typeof memory>
  let sent: { id: string; address: string }[]
  let send: Channel['send']
  let reports: ChannelReport[]
  let gone: string[]
  let givenUp: string[]
  let outbox: Outbox
  const boxes: Outbox[] = []

  function open(more: Partial<OutboxParts> = {}): Outbox {
    const channel = (kind: 'email' | 'webhook'): Channel => ({
      kind,
      quiet: true,
      send(message, address, signal) {
        sent.push({ id: message.id, address })
        return send(message, address, signal)
      },
    })
    const box = new Outbox({
      store,
      clock: () => nowMs,
      random: () => 1,
      logger: { info: () => undefined, warn: () => undefined, error: () => undefined },
      health: new ChannelHealth(report => reports.push(report)),
      channels: new Map([channel('email'), channel('webhook')].map(each => [each.kind, each])),
      address: (_, addressId) => (addressId === 'none' ? undefined : `to ${addressId}`),
      onGone: (_, addressId) => gone.push(addressId),
      onGivenUp: ({ message }) => givenUp.push(message.id),
      ...more,
    })
    boxes.push(box)
    return box
  }
  const delivery = (id: string, more: Partial<Message> = {}, addressId = 'a1', kind = 'webhook') =>
    newDelivery(aMessage({ id, alarmId: null, ...more }), { personId: 'p1', addressId, kind })
  const ids = () => sent.map(({ id }) => id)
  const state = (id: string) => store.rows.get(id)?.state
  /** Lets what is due be tried, until nothing more happens. */
  async function settle(): Promise<void> {
    for (let n = 0; n < 10; n++) await new Promise(resolve => setImmediate(resolve))
  }
  async function pass(ms: number): Promise<void> {
    nowMs += ms
    outbox.pump()
    await settle()
  }

  beforeEach(() => {
    nowMs = SENT_MS
    store = memory()
    sent = []
    reports = []
    gone = []
    givenUp = []
    send = async () => undefined
    outbox = open()
  })
  afterEach(async () => {
    for (const box of boxes.splice(0)) await box.close(0)
  })

  it('sends at once, and keeps what became of it', async () => {
    outbox.add([delivery('d1')])
    // On its way to disk in the turn in which it was decided.
    expect(state('d1')).toBe('waiting')
    await settle()
    expect(sent).toEqual([{ id: 'd1', address: 'to a1' }])
    expect(store.rows.get('d1')).toMatchObject({
      state: 'delivered',
      attempts: 1,
      doneAtMs: SENT_MS,
      error: null,
    })
    expect(outbox.waiting).toBe(0)
  })

  it('sends although nothing can be kept', async () => {
    store.full = true
    outbox.add([delivery('d1')])
    await settle()
    expect(ids()).toEqual(['d1'])
  })

  it('tries again later and later, under the same key, until it gets through', async () => {
    let failures = 3
    send = async () => {
      if (failures-- > 0) throw new DeliveryError('temporary', 'busy')
    }
    outbox.add([delivery('d1')])
    await settle()
    expect(store.rows.get('d1')).toMatchObject({
      state: 'waiting',
      attempts: 1,
      error: 'busy',
      nextAtMs: SENT_MS + 1000,
    })
    await pass(999)
    expect(ids()).toHaveLength(1)
    await pass(1)
    await pass(2000)
    expect(ids()).toEqual(['d1', 'd1', 'd1'])
    await pass(3999)
    expect(ids()).toHaveLength(3)
    await pass(1)
    expect(store.rows.get('d1')).toMatchObject({ state: 'delivered', attempts: 4 })
  })

  it('does not wait for hours after the clock was set back: no wait is longer than five minutes', async () => {
    send = async () => {
      throw new DeliveryError('temporary', 'busy')
    }
    outbox.add([delivery('d1')])
    await settle()
    await pass(-3 * 3_600_000)
    expect(ids()).toHaveLength(2)
    // What it waits for now is counted by the clock as it is.
    await pass(500)
    expect(ids()).toHaveLength(2)
  })

  it('gives up what is refused for good, and what could not be delivered in a day', async () => {
    send = async ({ id }) => {
      throw new DeliveryError(id === 'd1' ? 'permanent' : 'temporary', 'no')
    }
    outbox.add([delivery('d1'), delivery('d2', {}, 'a2')])
    await settle()
    expect(store.rows.get('d1')).toMatchObject({ state: 'failed', error: 'no', attempts: 1 })
    for (let hour = 0; hour < 24; hour++) await pass(3_600_000)
    expect(store.rows.get('d2')).toMatchObject({ state: 'failed', error: 'Given up after a day: no' })
    expect(givenUp).toEqual(['d1', 'd2'])
  })

  it('takes an address that is gone out, and withdraws what was to go to one that was taken out', async () => {
    send = async () => {
      throw new DeliveryError('gone', 'unsubscribed')
    }
    outbox.add([delivery('d1'), delivery('d2', {}, 'none')])
    await settle()
    expect(gone).toEqual(['a1'])
    expect([state('d1'), state('d2')]).toEqual(['failed', 'withdrawn'])
  })

  it('lets a channel and an address that hang hold up nobody else', async () => {
    send = (_, address) => (address === 'to a1' ? new Promise(() => undefined) : Promise.resolve())
    const hanging = Array.from({ length: 60 }, (_, n) => delivery(`h${n}`, {}, 'a1', 'email'))
    outbox.add([...hanging, delivery('d1', {}, 'a2', 'email'), delivery('d2', {}, 'a3')])
    await settle()
    expect([state('d1'), state('d2')]).toEqual(['delivered', 'delivered'])
    expect(ids().filter(id => id.startsWith('h'))).toHaveLength(1)
  })

  it('bounds what one channel has under way, and still comes to every address', async () => {
    outbox = open({ attemptMs: 30 })
    const hang = (address: string) => Number(address.replace('to ', '')) < 120
    send = (_, address) => (hang(address) ? new Promise(() => undefined) : Promise.resolve())
    outbox.add([
      ...Array.from({ length: 121 }, (_, n) => delivery(`d${n}`, {}, String(n), 'email')),
      delivery('other', {}, 'x', 'webhook'),
    ])
    await settle()
    expect(sent.filter(({ id }) => id.startsWith('d'))).toHaveLength(50)
    expect(state('other')).toBe('delivered')
    // Those that hang are given up one time-out after the other, and do not push in before those that were never tried.
    expect(await soon(() => state('d120') === 'delivered', 2000)).toBe(true)
  })

  it('answers a channel that does not heed its signal with a time-out', async () => {
    outbox = open({ attemptMs: 20 })
    send = () => new Promise(() => undefined)
    outbox.add([delivery('d1')])
    expect(await soon(() => store.rows.get('d1')?.attempts === 1)).toBe(true)
    expect(store.rows.get('d1')?.error).toMatch(/^No answer came within/)
  })

  it('sends what is critical first', async () => {
    let free: () => void = () => undefined
    send = () => new Promise(resolve => (free = resolve))
    outbox.add([delivery('first', { priority: 'low' })])
    await settle()
    outbox.add([
      delivery('low', { priority: 'low' }),
      delivery('critical'),
      delivery('high', { priority: 'high' }),
    ])
    for (let n = 0; n < 4; n++) {
      free()
      await settle()
    }
    expect(ids()).toEqual(['first', 'critical', 'high', 'low'])
  })

  it('drops the oldest of the least priority when too many wait, and tells', async () => {
    outbox = open({ mostWaiting: 3 })
    send = () => new Promise(() => undefined)
    outbox.add([delivery('under-way', { priority: 'low' })])
    await settle()
    outbox.add([
      delivery('low-1', { priority: 'low' }),
      delivery('low-2', { priority: 'low', sentAtMs: SENT_MS + 1 }),
      delivery('critical-1'),
      delivery('critical-2', { sentAtMs: SENT_MS - 9 }),
    ])
    expect(outbox.waiting).toBe(3)
    expect(outbox.dropped).toBe(2)
    expect([state('low-1'), state('low-2'), state('critical-1')]).toEqual(['dropped', 'dropped', 'waiting'])
    expect(store.rows.get('low-1')?.error).toContain('More than 3')
  })

  it('withdraws what nobody needs any more, and says who never heard of it', async () => {
    send = async (_, address) => {
      if (address !== 'to a9') throw new DeliveryError('temporary', 'busy')
      return new Promise(() => undefined)
    }
    outbox.add([
      delivery('d1', { alarmId: 'x1' }, 'a1'),
      delivery('d2', { alarmId: 'x1' }, 'a9'),
      delivery('d3', { alarmId: 'x2' }, 'a9'),
      delivery('d4', { alarmId: 'x1' }, 'a9'),
    ])
    await settle()
    // d4 took the place of d2: a newer message about the same alarm to the same address.
    const never = outbox.withdraw('x1', 'answered')
    expect([...never].every(each => each === 'p1 a9')).toBe(true)
    await pass(600_000)
    expect([state('d1'), state('d4'), state('d3')]).toEqual(['withdrawn', 'withdrawn', 'waiting'])
    expect(ids().filter(id => id === 'd1')).toHaveLength(1)
  })

  it('sends nothing twice after a clean stop, and again what was not answered before it', async () => {
    send = (_, address) => (address === 'to a2' ? new Promise(() => undefined) : Promise.resolve())
    outbox.add([delivery('d1'), delivery('d2', {}, 'a2')])
    await settle()
    await outbox.close(20)
    const before = ids()
    send = async () => undefined
    outbox = open()
    await outbox.load()
    await pass(0)
    expect(ids().slice(before.length)).toEqual(['d2'])
    expect([state('d1'), state('d2')]).toEqual(['delivered', 'delivered'])
  })

  it('waits at a stop for the answer that is under way', async () => {
    send = () => new Promise(resolve => setTimeout(resolve, 60))
    outbox.add([delivery('d1')])
    await settle()
    await outbox.close()
    expect(state('d1')).toBe('delivered')
  })

  it('reports a channel once it has failed for a minute or was refused, and when it delivers again', async () => {
    let works = false
    send = async ({ id }) => {
      if (!works) throw new DeliveryError(id === 'd9' ? 'permanent' : 'temporary', 'no way to it')
    }
    outbox.add([delivery('d1')])
    await settle()
    for (let second = 0; second < 70; second++) await pass(1000)
    expect(reports).toEqual([
      { kind: 'webhook', failing: false, words: '' },
      { kind: 'webhook', failing: true, words: 'no way to it' },
    ])
    works = true
    await pass(300_000)
    expect(reports.slice(2)).toEqual([{ kind: 'webhook', failing: false, words: '' }])
    works = false
    outbox.add([delivery('d9', {}, 'a1', 'email')])
    await settle()
    expect(reports.slice(3)).toEqual([{ kind: 'email', failing: true, words: 'no way to it' }])
  })
})
