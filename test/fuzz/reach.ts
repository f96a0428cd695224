import { Session, type Debugger, type Profiler } from 'node:inspector'

/** How the test runner writes what is imported. */
const IMPORTED = /__vite_ssr_import_\d+__\./g

interface Script {
  readonly source: string
  /** For each of its letters, 1 when it ran. */
  readonly ran: Uint8Array
  readonly functions: Map<string, Profiler.CoverageRange>
}

/** What of our own code was run, as V8 counts its blocks: every branch is one. */
export class Reach {
  readonly #session = new Session()
  readonly #folder: string
  readonly #scripts = new Map<string, Script>()

  /** From here on. What is to be watched must be loaded afterwards: `folder` is a part of its files' path. */
  constructor(folder: string) {
    this.#folder = folder
    this.#session.connect()
    this.#ask('Profiler.enable')
    this.#ask('Debugger.enable')
    this.#ask('Profiler.startPreciseCoverage', { callCount: true, detailed: true })
  }

  /** Counts what ran since the last look. */
  look(): void {
    const { result } = this.#ask('Profiler.takePreciseCoverage') as Profiler.TakePreciseCoverageReturnType
    for (const { url, scriptId, functions } of result) {
      if (!url.includes(this.#folder)) continue
      const { ran, functions: known } = this.#script(scriptId)
      // Ranges come from the outside in: what is inside of one counts for itself.
      const now = new Uint8Array(ran.length)
      for (const { functionName, ranges } of functions) known.set(functionName, ranges[0]!)
      for (const { ranges } of functions)
        for (const { startOffset, endOffset, count } of ranges)
          now.fill(count > 0 ? 1 : 0, startOffset, endOffset)
      for (let at = 0; at < now.length; at++) ran[at]! |= now[at]!
    }
  }

  /** The lines, in part or whole, that never ran, outside of these functions; not what the test runner wraps around a file. */
  missed(except: readonly string[]): string[] {
    const lines: string[] = []
    for (const { source, ran, functions } of this.#scripts.values()) {
      for (const name of except) {
        const { startOffset, endOffset } = functions.get(name) ?? { startOffset: 0, endOffset: 0 }
        ran.fill(1, startOffset, endOffset)
      }
      let from = 0
      for (const line of source.split('\n')) {
        const text = [...line].filter((letter, at) => ran[from + at] === 0 && letter.trim() !== '').join('')
        if (/\w/.test(text) && !line.includes('__vite_ssr_export'))
          lines.push(line.trim().replace(IMPORTED, ''))
        from += line.length + 1
      }
    }
    return lines
  }

  close(): void {
    this.#session.disconnect()
  }

  #script(scriptId: string): Script {
    const known = this.#scripts.get(scriptId)
    if (known !== undefined) return known
    const asked = this.#ask('Debugger.getScriptSource', { scriptId })
    const { scriptSource: source } = asked as Debugger.GetScriptSourceReturnType
    const script = { source, ran: new Uint8Array(source.length), functions: new Map() }
    this.#scripts.set(scriptId, script)
    return script
  }

  /** The session answers before the call returns: it is of the same thread. */
  #ask(method: string, params: object = {}): object {
    let answer: object = {}
    this.#session.post(method, params, (error, result) => {
      if (error) throw error
      answer = result ?? {}
    })
    return answer
  }
}
