import { create } from 'qrcode'

/** Light all around, as wide as so many modules: readers need it (ISO/IEC 18004, 4 modules). */
export const QUIET = 4

/** The dark modules of a text's QR code as the path of an SVG whose side is `side`, one unit a module. */
export function qrPath(text: string): { readonly side: number; readonly path: string } {
  const { size, data } = create(text, { errorCorrectionLevel: 'M' }).modules
  const rows: string[] = []
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      if (!data[y * size + x]) continue
      let run = 1
      while (x + run < size && data[y * size + x + run]) run++
      rows.push(`M${x + QUIET} ${y + QUIET}h${run}v1h${-run}z`)
      x += run
    }
  }
  return { side: size + 2 * QUIET, path: rows.join('') }
}
