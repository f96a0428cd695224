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
    this.#at.set(test.module, `in "${test.fullName}"`)
  }

  onTestCaseResult(test: TestCase): void {
    this.#at.set(test.module, `after "${test.fullName}"`)
  }

  onTestModuleEnd(module: TestModule): void {
    this.#at.delete(module)
  }

  onTestRunEnd(): void {
    for (const [module, where] of this.#at)
      process.stderr.write(`${module.relativeModuleId} never ended: it was last heard of ${where}\n`)
  }
}
