/**
 * Text with commas between its cells, as RFC 4180 says: lines end in CR LF, a cell with a comma, a quote or a line break stands in
 * quotes, a quote within is doubled. Read as well with LF alone, with a byte order mark, and with `;` where the headings have it.
 *
 * A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a line break for a formula, some also by their wide
 * forms. Text that does is written with an apostrophe before it, which is taken off when it is read; numbers are left as they are.
 */

/** Larger text is not read, characters. */
export const CSV_LARGEST = 32 * 1024 * 1024

export class CsvError extends Error {
  override readonly name = 'CsvError'
}

export function csvText(lines: readonly (readonly string[])[]): string {
  return lines.map(line => `${line.map(cellText).join(',')}\r\n`).join('')
}

function cellText(cell: string): string {
  return /[",;\r\n]|^\s|\s$|^\uFEFF/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell
}

const FORMULA = /^'*[=+\-@\t\r\n＝＋－＠]/
/** So that a spreadsheet takes it for text. */
export const asPlainText = (text: string): string => (FORMULA.test(text) ? `'${text}` : text)
export const fromPlainText = (cell: string): string =>
  cell.startsWith("'") && FORMULA.test(cell) ? cell.slice(1) : cell

/** Lines of cells; empty lines are left out. Throws a {@link CsvError} where a quoted cell has no end. */
export function readCsv(text: string): string[][] {
  if (text.length > CSV_LARGEST)
    throw new CsvError(`Cannot read the table: it may have ${CSV_LARGEST} characters, got ${text.length}`)
  const source = text.startsWith('\uFEFF') ? text.slice(1) : text
  const separator = separatorOf(source)
  const lines: string[][] = []
  let line: string[] = []
  let at = 0
  while (at <= source.length) {
    const { cell, end } = source[at] === '"' ? quoted(source, at) : bare(source, at, separator)
    line.push(cell)
    const next = source[end]
    if (next === separator) {
      at = end + 1
      continue
    }
    if (line.length > 1 || line[0] !== '') lines.push(line)
    line = []
    if (next === undefined) break
    at = next === '\r' && source[end + 1] === '\n' ? end + 2 : end + 1
  }
  return lines
}

/** Some spreadsheets write semicolons where the comma is the decimal sign: the headings, which hold neither in a cell of ours, tell. */
function separatorOf(source: string): ',' | ';' {
  const [headings = ''] = source.split(/[\r\n]/, 1)
  return headings.includes(';') && !headings.includes(',') ? ';' : ','
}

function bare(source: string, from: number, separator: string): { cell: string; end: number } {
  let end = from
  while (end < source.length && source[end] !== separator && source[end] !== '\r' && source[end] !== '\n')
    end++
  return { cell: source.slice(from, end), end }
}

function quoted(source: string, from: number): { cell: string; end: number } {
  let cell = ''
  let at = from + 1
  for (;;) {
    const close = source.indexOf('"', at)
    if (close < 0) {
      const before = source.slice(0, from).split(/\r\n|\r|\n/)
      const place = `line ${before.length}, character ${(before.at(-1)?.length ?? 0) + 1}`
      throw new CsvError(`Cannot read the table: the cell at ${place} begins with a quote and has no end`)
    }
    cell += source.slice(at, close)
    if (source[close + 1] !== '"') {
      // What stands between the closing quote and the separator belongs to nothing; it is taken as part of the cell.
      const rest = /^[^,;\r\n]*/.exec(source.slice(close + 1))?.[0] ?? ''
      return { cell: cell + rest, end: close + 1 + rest.length }
    }
    cell += '"'
    at = close + 2
  }
}
