/** SenML in JSON, RFC 8428 section 5: an array of objects, UTF-8. */

const utf8 = new TextDecoder('utf-8', { fatal: true })

/**
 * The records as written, unresolved.
 * @throws SyntaxError or TypeError when the bytes are not UTF-8, not JSON, or not an array.
 */
export function readSenmlJson(payload: Uint8Array): unknown[] {
  const parsed: unknown = JSON.parse(utf8.decode(payload))
  if (!Array.isArray(parsed)) throw new TypeError('the JSON text is not an array of records')
  return parsed
}

export function writeSenmlJson(records: readonly Readonly<Record<string, unknown>>[]): Uint8Array {
  return new TextEncoder().encode(JSON.stringify(records))
}
