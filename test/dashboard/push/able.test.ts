import { describe, expect, it } from 'vitest'
import { ableIn, whyNot, type Able, type Surroundings } from '../../../dashboard/push/able.ts'

const ALL: Surroundings = { secure: true, worker: true, push: true, notices: true, permission: 'default' }

describe('whether this browser can be called', () => {
  it.each<[Partial<Surroundings>, Able]>([
    [{}, 'yes'],
    [{ permission: 'granted' }, 'yes'],
    [{ permission: 'denied' }, 'refused'],
    [{ push: false }, 'not-here'],
    [{ notices: false, permission: null }, 'not-here'],
    [{ worker: false }, 'not-here'],
    // Without HTTPS the rest is missing too: the cause is told, not its consequences.
    [{ secure: false, worker: false, push: false }, 'not-secure'],
  ])('%o: %s', (over, able) => {
    expect(ableIn({ ...ALL, ...over })).toBe(able)
  })

  it('says what to do about each', () => {
    expect(whyNot('yes', 'http://x')).toBeNull()
    expect(whyNot('not-secure', 'http://10.0.0.5:8080')).toMatch(
      /http:\/\/10\.0\.0\.5:8080.*https:\/\/.*webhook/,
    )
    expect(whyNot('not-here', 'https://x')).toMatch(/Add to Home Screen/)
    expect(whyNot('refused', 'https://x')).toMatch(/Allow notifications/)
  })
})
