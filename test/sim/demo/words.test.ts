import { expect, it } from 'vitest'
import { CALL_GAP_MS } from '../../../broker/rules/call-gap.ts'
import { demoCast, demoTimes } from '../../../sim/demo/cast.ts'
import { CALL_GAP_H, keptWords, whatHappens } from '../../../sim/demo/words.ts'

it('tells which alarm comes first, what it becomes, and when that rings, in the time of who watches', () => {
  const words = whatHappens(demoTimes(1), 1)
  expect(words).toMatch(
    /"Heating up" rings for Cone 5 corner, for in about 2 minutes its water passes 29\.4 °C/,
  )
  expect(words).toMatch(/reads "Too hot": .* once more for that, 10 minutes after its first call/)
  expect(whatHappens(demoTimes(20), 20)).toMatch(
    /in about 2 minutes its water.*\n.*, 30 seconds after its first/,
  )
  expect(CALL_GAP_H * 3_600_000).toBe(CALL_GAP_MS)
})

it('says of a vessel that is old enough what the page says of it', () => {
  const low = demoCast(demoTimes(1), 12).find(({ name }) => name === 'Cone 6 low shelf')
  expect(low?.words).toMatch(/^perhaps ready/)
})

it('prints how to open what is kept, as a shell takes it', () => {
  expect(keptWords('/tmp/brine-1')).toMatch(/^ {2}npm start -- --data \/tmp\/brine-1$/m)
  expect(keptWords("/tmp/my fry's")).toMatch(/^ {2}npm start -- --data '\/tmp\/my fry'\\''s'$/m)
  expect(keptWords('/tmp/brine-1')).toContain('invented')
})
