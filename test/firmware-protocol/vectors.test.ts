import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { decodePack, PackError } from '../../firmware-protocol/pack.ts'

interface Case {
  name: string
  json?: string
  cbor?: string
  pack?: unknown
  rejected?: number
  error?: string
}

function casesOf(file: string): Case[] {
  const url = new URL(`../../firmware-protocol/vectors/${file}`, import.meta.url)
  return (JSON.parse(readFileSync(url, 'utf8')) as { cases: Case[] }).cases
}
function payloadOf(vector: Case): Uint8Array {
  if (vector.json !== undefined) return Buffer.from(vector.json, 'utf8')
  return Buffer.from(vector.cbor!.replaceAll(' ', ''), 'hex')
}

describe('vectors', () => {
  it.each(casesOf('good.json'))('reads $name', vector => {
    const { rejected, ...pack } = decodePack(payloadOf(vector))
    expect(pack).toEqual(vector.pack)
    expect(rejected).toHaveLength(vector.rejected!)
    for (const { detail } of rejected) expect(detail).toMatch(/^record ("[^"]+"|\d+): .{8}/)
  })

  it.each(casesOf('bad.json'))('refuses $name', vector => {
    let thrown: unknown
    try {
      decodePack(payloadOf(vector))
    } catch (error) {
      thrown = error
    }
    expect(thrown).toBeInstanceOf(PackError)
    expect((thrown as PackError).code).toBe(vector.error)
    expect((thrown as PackError).message).toMatch(/^Cannot read the pack: /)
  })
})
