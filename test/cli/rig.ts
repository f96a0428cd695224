import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect } from 'vitest'
import { run as runCommand } from '../../broker/cli/run.ts'

const root = new URL('../..', import.meta.url).pathname
/** When every command of these tests is run, Unix ms. */
export const NOW_MS = Date.UTC(2026, 10, 25)

/** A directory for each test, and where data is begun in it. */
export const place = { dir: '', data: '' }
export function freshPlace(): void {
  beforeEach(() => {
    place.dir = mkdtempSync(join(tmpdir(), 'brinewatch-cli-'))
    place.data = join(place.dir, 'data')
  })
  afterEach(() => rmSync(place.dir, { recursive: true }))
}

export interface Ran {
  readonly code: number | null
  readonly out: string
  readonly err: string
}

/** Runs the command in this process: a hundred times faster, and all the same but for the edges. */
export async function run(args: string[]): Promise<Ran> {
  let out = ''
  let err = ''
  const code = await runCommand(args, {
    nowMs: NOW_MS,
    print: text => void (out += `${text}\n`),
    say: text => void (err += `${text}\n`),
    newPassword: () => Promise.reject(new Error('Nobody types here')),
  })
  return { code, out, err }
}

/** Runs the command as a process of its own, with `input` piped in; the pipe is left open unless it is ended. */
export function spawned(args: string[], input = '', { end = true } = {}): Promise<Ran> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ['--import', 'tsx', 'broker/cli.ts', ...args], { cwd: root })
    let out = ''
    let err = ''
    child.stdout.setEncoding('utf8').on('data', (text: string) => (out += text))
    child.stderr.setEncoding('utf8').on('data', (text: string) => (err += text))
    child.on('error', reject)
    child.on('close', code => resolve({ code, out, err }))
    child.stdin.on('error', () => undefined)
    child.stdin.write(input)
    if (end) child.stdin.end()
  })
}
export const inData = (...args: string[]) => run(['--data', place.data, ...args])

/** Exactly one line of JSON on standard output, nothing on standard error. */
export function line({ code, out, err }: Ran): Record<string, unknown> {
  expect([code, err]).toEqual([0, ''])
  expect(out).toMatch(/^\{.*\}\n$/)
  return JSON.parse(out) as Record<string, unknown>
}

/** One sentence on standard error, no stack trace, nothing on standard output. */
export function sentence({ code, out, err }: Ran, expected: number): string {
  expect([code, out]).toEqual([expected, ''])
  expect(err.trimEnd().split('\n')).toHaveLength(1)
  expect(err).not.toMatch(/\bat .*:\d+/)
  return err
}
