import { defineConfig } from 'vitest/config'

// Two projects: everything that runs from source, side by side; and what starts the built program, one at a
// time, because those tests measure and kill whole processes.
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    projects: [
      {
        test: {
          name: 'source',
          include: ['test/**/*.test.ts'],
          exclude: ['test/system/**', 'test/browser/**', 'test/bench/**'],
          // A long run of made-up inputs takes as long as it takes.
          testTimeout: process.env['BRINEWATCH_FUZZ_EACH'] === undefined ? 60_000 : 0,
          hookTimeout: 60_000,
        },
      },
      {
        test: {
          name: 'program',
          include: ['test/system/**/*.test.ts', 'test/browser/**/*.test.ts'],
          fileParallelism: false,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
})
