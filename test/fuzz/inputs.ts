/** How many inputs each target gets, of how many all together; `npm run fuzz -- --inputs N` says more than the tests' share. */
export const share = (ofTests: number): number => Number(process.env['BRINEWATCH_FUZZ_EACH'] ?? ofTests)

const given = process.env['BRINEWATCH_FUZZ_SEED']
/** To be repeated with `--seed`; fast-check prints it, with the way to the smallest input, when one fails. */
export const seeded: { seed?: number } = given === undefined ? {} : { seed: Number(given) }
