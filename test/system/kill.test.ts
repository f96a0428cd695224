import { expect, it } from 'vitest'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { loader } from './load.ts'
import { addDevice, freshDir, removeDir, startProgram, until } from './program.ts'

/** More rounds: BRINEWATCH_KILL_ROUNDS=100 npx vitest … test/system/kill.test.ts */
const ROUNDS = Number(process.env.BRINEWATCH_KILL_ROUNDS ?? 20)
const DEVICES = 8
const IN_FLIGHT = 10
const ACKED_A_ROUND = 500

it(
  `loses no acknowledged reading and doubles none over ${ROUNDS} kills under load`,
  async () => {
    const dir = freshDir()
    const baseMs = Date.now() - 3_600_000
    const names = Array.from({ length: DEVICES }, (_, i) => `load-${i}`)
    const loaders = names.map(name => loader(addDevice(dir, name), seq => baseMs + seq))
    const ackedByAll = () => loaders.reduce((sum, { acked }) => sum + acked.size, 0)

    for (let round = 0; round < ROUNDS; round++) {
      const program = await startProgram(dir)
      const address = { host: program.mqttHost, port: program.mqttPort }
      const before = ackedByAll()
      const runs = await Promise.all(loaders.map(each => each.run(address, IN_FLIGHT)))
      // The load is real, however slow the machine: hundreds of acknowledgements a round, not a handful.
      await until(
        async () => ackedByAll() - before,
        acked => acked > ACKED_A_ROUND,
      )
      // Killed at another moment in each round, so that every phase of a commit gets hit.
      await new Promise(resolve => setTimeout(resolve, (round * 37) % 300))
      await program.kill()
      for (const run of runs) run.abandon()
    }

    const program = await startProgram(dir)
    const address = { host: program.mqttHost, port: program.mqttPort }
    const runs = await Promise.all(loaders.map(each => each.run(address, IN_FLIGHT)))
    await new Promise(resolve => setTimeout(resolve, 300))
    await Promise.all(runs.map(run => run.stop()))
    expect(await program.stop()).toBe(0)

    const store = await openStore({ dir, clock: () => Date.now() })
    let acked = 0
    for (const [i, each] of loaders.entries()) {
      const source = {
        device: names[i]!,
        channel: 'count',
        offset: 0,
        fromMs: 0,
        toMs: Number.MAX_SAFE_INTEGER,
      }
      const kept = (await store.samples([source])).map(sample => sample.value!)
      const found = new Set(kept)
      expect(found.size, `${names[i]}: readings kept twice`).toBe(kept.length)
      const lost = [...each.acked].filter(seq => !found.has(seq))
      expect(lost, `${names[i]}: acknowledged readings lost`).toEqual([])
      acked += each.acked.size
    }
    await store.close()
    removeDir(dir)
    expect(acked).toBeGreaterThan(ROUNDS * ACKED_A_ROUND)
  },
  60_000 + ROUNDS * 30_000,
)
