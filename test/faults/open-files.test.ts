import { expect, it } from 'vitest'
import { connectionRoom, openFilesLimit } from '../../broker/open-files.ts'

// The form is proc(5)'s; Node raises the soft limit to the hard one at its start, so the soft one is what counts.
const limits = (soft: string) => `Limit                     Soft Limit           Hard Limit           Units
Max processes             96000                96000                processes
Max open files            ${soft.padEnd(20)} 1048576              files
`

it('reads the limit on open files, and knows none where nothing is told', () => {
  expect(openFilesLimit(limits('1024'))).toBe(1024)
  expect(openFilesLimit(limits('unlimited'))).toBeNull()
  expect(openFilesLimit(null)).toBeNull()
})

it('lets connections end before files do, and says so', () => {
  expect(connectionRoom(null)).toEqual({ devices: 1000, people: 2048, words: null })
  expect(connectionRoom(1_048_576).words).toBeNull()
  for (const limit of [128, 256, 1024, 4096]) {
    const { devices, people } = connectionRoom(limit)
    // What the service at rest holds open, and something for messages and backups.
    expect(devices + people).toBeLessThanOrEqual(limit - 64)
    // Devices come first, as far as there may be any more of them.
    expect(devices).toBeGreaterThanOrEqual(Math.min(people, 1000))
  }
  expect(connectionRoom(256).words).toMatch(/256 files.*at most \d+ devices/)
})
