/**
 * `npm run fuzz -- --inputs 1000000 [--seed N]`: every target that the tests try a little is tried a lot. Inputs are made from
 * what is described (the OpenAPI document, SenML, the packets of MQTT) and then damaged. That they get behind the first check is
 * held by counters of coverage, for packs (`reach.test.ts`): 6,000 described ones reach every line. To let the counters lead was
 * tried there, with pieces of SenML to put in: after 20,000 inputs 63 lines were not reached, so describing pays, and leading does not.
 */
import { spawnSync } from 'node:child_process'
import { parseArgs } from 'node:util'

const { values } = parseArgs({
  options: { inputs: { type: 'string', default: '1000000' }, seed: { type: 'string' } },
})
const inputs = Number(values.inputs)
const seed = Number(values.seed ?? Date.now() % 2 ** 31)
if (!Number.isInteger(inputs) || inputs < 100 || !Number.isInteger(seed)) {
  console.error('Cannot fuzz: --inputs must be a whole number of 100 or more, and --seed a whole number')
  process.exit(2)
}
// Decoding costs microseconds, a request a hundred times that: six parts of ten go to what is cheap.
const each = Math.ceil(inputs / 10)
console.log(`${inputs} inputs, seed ${seed}`)
const began = Date.now()
const { status } = spawnSync(
  process.execPath,
  [
    'node_modules/vitest/vitest.mjs',
    'run',
    '--config',
    'test/vitest.config.ts',
    '--project',
    'source',
    'test/fuzz',
    'test/web/fuzz.test.ts',
    'test/room/handover/hostile-files.test.ts',
  ],
  {
    stdio: 'inherit',
    env: { ...process.env, BRINEWATCH_FUZZ_EACH: String(each), BRINEWATCH_FUZZ_SEED: String(seed) },
  },
)
console.log(`seed ${seed}, ${Math.round((Date.now() - began) / 1000)} s`)
process.exit(status ?? 1)
