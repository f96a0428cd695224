import type { Client } from 'aedes'
import { describe, expect, it } from 'vitest'
import { Pubacks } from '../../broker/intake/pubacks.ts'

function acknowledging(state: { connected: boolean; connecting: boolean }) {
  const written: Buffer[] = []
  const conn = { write: (bytes: Buffer) => written.push(bytes) > 0 }
  const pubacks = new Pubacks({ conn, ...state } as unknown as Client)
  const released: (Error | null)[] = []
  for (const identifier of [7, 0x1234]) pubacks.add(identifier, error => released.push(error))
  pubacks.flush()
  return { written: Buffer.concat(written), released }
}

describe('acknowledgements', () => {
  // MQTT 3.1.1 section 3.4: 0x40, the length 2, and the packet's identifier, its high byte first.
  const BOTH = Buffer.from([0x40, 2, 0, 7, 0x40, 2, 0x12, 0x34])

  it('of one commit leave in one piece', () => {
    const { written, released } = acknowledging({ connected: true, connecting: false })
    expect(written.equals(BOTH)).toBe(true)
    expect(released).toEqual([null, null])
  })

  it('leave too while the connecting is not over: a client publishes as soon as it has its CONNACK', () => {
    const { written, released } = acknowledging({ connected: false, connecting: true })
    expect(written.equals(BOTH)).toBe(true)
    expect(released).toEqual([null, null])
  })

  it('are not written to a connection that is closed, and end it', () => {
    const { written, released } = acknowledging({ connected: false, connecting: false })
    expect(written).toHaveLength(0)
    expect(released.map(error => error?.message)).toEqual(Array(2).fill('the connection was closed'))
  })
})
