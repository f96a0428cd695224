import type { Reporter, TestCase, TestModule } from 'vitest/node'

/**
 * Names the files that never ended, and the test each was last heard of at: a process that dies under its tests takes its name with it
 * otherwise. What a process tells comes a tenth of a second late, so that the test which brought it down may be the next.
 */
export default class Unfinished implements Reporter {
  readonly #at = new Map<TestModule, string>()

  onTestModuleStart(module: TestModule): void {
    this.#at.set(module, 'before its first test')
  }

  onTestCaseReady(test: TestCase): void {
    this.#heard(test, 'in')
  }

  onTestCaseResult(test: TestCase): void {
    this.#heard(test, 'after')
  }

  onTestModuleEnd(module: TestModule): void {
    this.#at.delete(module)
  }

  onTestRunEnd(): void {
    for (const [module, where] of this.#at)
      process.stderr.write(`${module.relativeModuleId} never ended: it was last heard of ${where}\n`)
  }

  /** The result of a file's last test may come after the file's end. */
  #heard(test: TestCase, where: string): void {
    if (this.#at.has(test.module)) this.#at.set(test.module, `${where} "${test.fullName}"`)
  }
}
