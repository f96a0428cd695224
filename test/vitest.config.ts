import { availableParallelism } from 'node:os'
import { defineConfig } from 'vitest/config'
import Unfinished from './unfinished.ts'

/** Programs that run at a hastened clock while the test waits for them: little work, so they may do it side by side. */
const STORIES = 'test/system/stories/**/*.test.ts'

// Three projects, one after the other: everything that runs from source, as many files at a time as there are processors; what
// starts the built program, one at a time, because those tests measure and kill whole processes; and the stories.
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    reporters: ['default', new Unfinished()],
    projects: [
      {
        test: {
          name: 'source',
          include: ['test/**/*.test.ts'],
          exclude: ['test/system/**', 'test/browser/**', 'test/bench/**'],
          maxWorkers: availableParallelism(),
          // A long run of made-up inputs takes as long as it takes.
          testTimeout: process.env['BRINEWATCH_FUZZ_EACH'] === undefined ? 60_000 : 0,
          hookTimeout: 60_000,
        },
      },
      {
        test: {
          name: 'program',
          include: ['test/system/**/*.test.ts', 'test/browser/**/*.test.ts'],
          exclude: [STORIES],
          fileParallelism: false,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          sequence: { groupOrder: 1 },
        },
      },
      {
        test: {
          name: 'stories',
          include: [STORIES],
          maxWorkers: 4,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          sequence: { groupOrder: 2 },
        },
      },
    ],
  },
})
