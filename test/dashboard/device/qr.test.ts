import jsqr from 'jsqr'
import { describe, expect, it } from 'vitest'
import { qrPath, QUIET } from '../../../dashboard/device/qr.ts'
import { setupPage } from '../../../firmware-protocol/pairing.ts'

/** Fills the path's rectangles, `scale` pixels a module, black on white. */
function drawn(text: string, scale = 4): { pixels: Uint8ClampedArray; width: number } {
  const { side, path } = qrPath(text)
  const width = side * scale
  const pixels = new Uint8ClampedArray(width * width * 4).fill(255)
  for (const [, x, y, run] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\3z/g)) {
    for (let row = Number(y) * scale; row < (Number(y) + 1) * scale; row++)
      for (let column = Number(x) * scale; column < (Number(x) + Number(run)) * scale; column++)
        pixels.set([0, 0, 0], (row * width + column) * 4)
  }
  return { pixels, width }
}

// jsqr, an ES module of an old make: its function is the default of its default.
const read = ((jsqr as unknown as { default?: typeof jsqr }).default ?? jsqr) as unknown as (
  pixels: Uint8ClampedArray,
  width: number,
  height: number,
) => { data: string } | null

describe('the picture of a code', () => {
  it.each([setupPage('K7QM2XVD', '192.168.1.20:8080'), setupPage('00000000', '[fd12:3456:789a::1]:65535')])(
    'says %s to another reader',
    page => {
      const { pixels, width } = drawn(page)
      expect(read(pixels, width, width)?.data).toBe(page)
      const url = new URL(page)
      expect([...url.searchParams.keys()]).toEqual(['code', 'at'])
    },
  )

  it('is light all around', () => {
    const { side, path } = qrPath('a')
    for (const [, x, y, run] of path.matchAll(/M(\d+) (\d+)h(\d+)/g)) {
      expect(Math.min(Number(x), Number(y))).toBeGreaterThanOrEqual(QUIET)
      expect(Number(x) + Number(run)).toBeLessThanOrEqual(side - QUIET)
    }
  })
})
