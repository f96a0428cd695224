import { spawnSync } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { loader } from './load.ts'
import { addDevice, freshDir, removeDir, startProgram, until, type Program } from './program.ts'

const ROUNDS = 3
/** By each device before there is no more memory. */
const ACKED_A_ROUND = 170

/**
 * The machine has no more memory to give, under load. Expected: what needs more fails. Where that is the heap of the service or of its
 * writing thread, the whole process ends at once, as when the kernel kills it; whoever starts it again, as the unit's `Restart=always`
 * does, finds every acknowledged reading once. Where it is work beside (a plan, a diagnosis), that fails and is logged, and the service
 * takes in and answers on. Near the limit of its heap, and living, it is in `crowd.test.ts`.
 */
it(`loses no acknowledged reading over ${ROUNDS} times of having no more memory`, async () => {
  const dir = freshDir()
  const baseMs = Date.now() - 3_600_000
  const names = ['load-0', 'load-1', 'load-2', 'load-3']
  const loaders = names.map(name => loader(addDevice(dir, name), seq => baseMs + seq))
  const acked = () => loaders.reduce((sum, each) => sum + each.acked.size, 0)
  for (let round = 0; round < ROUNDS; round++) {
    const program = await startProgram(dir)
    const address = { host: program.mqttHost, port: program.mqttPort }
    const ackedBefore = loaders.map(each => each.acked.size)
    const runs = await Promise.all(loaders.map(each => each.run(address, 10)))
    // The load is real, however slow the machine.
    const grown = () => Math.min(...loaders.map((each, i) => each.acked.size - ackedBefore[i]!))
    await until(
      async () => grown(),
      acked => acked > ACKED_A_ROUND,
    )
    await new Promise(resolve => setTimeout(resolve, round * 150))
    const process = `/proc/${program.pid}`
    const bytes = Number(/VmSize:\s+(\d+)/.exec(readFileSync(`${process}/status`, 'utf8'))![1]) * 1024
    // Nothing more from here on, whoever asks: the heap, a buffer, or SQLite.
    expect(spawnSync('prlimit', ['--pid', `${program.pid}`, `--as=${bytes}:`]).status).toBe(0)
    await new Promise(resolve => setTimeout(resolve, 2000))
    const before = acked()
    const servesOn = async (): Promise<boolean> => !(await silentOrIll(program)) && acked() > before
    // It may end at any moment from here on, in the middle of an answer too: then the next look finds it gone.
    const isEither = await until(
      async () => !existsSync(process) || (await servesOn()),
      is => is,
    )
    // Seldom it hangs over its last words: then it answers nobody, and the unit's watchdog ends it. Never does it say "ok" and keep nothing.
    if (!isEither) await expect(silentOrIll(program), program.log()).resolves.toBe(true)
    await program.kill()
    for (const run of runs) run.abandon()
  }

  const program = await startProgram(dir)
  const address = { host: program.mqttHost, port: program.mqttPort }
  const runs = await Promise.all(loaders.map(each => each.run(address, 10)))
  await new Promise(resolve => setTimeout(resolve, 300))
  await Promise.all(runs.map(run => run.stop()))
  expect(await program.stop()).toBe(0)
  const store = await openStore({ dir, threads: false })
  for (const [i, { acked }] of loaders.entries()) {
    const all = { channel: 'count', offset: 0, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER }
    const kept = (await store.samples([{ device: names[i]!, ...all }])).map(({ value }) => value!)
    const found = new Set(kept)
    expect(found.size, 'none kept twice').toBe(kept.length)
    expect(
      [...acked].filter(seq => !found.has(seq)),
      'none lost',
    ).toEqual([])
    expect(acked.size).toBeGreaterThan(ROUNDS * ACKED_A_ROUND)
  }
  await store.close()
  removeDir(dir)
})

async function silentOrIll(program: Program): Promise<boolean> {
  const asked = program.api('GET', '/healthz').then(
    ({ status }) => status !== 200,
    () => true,
  )
  return Promise.race([asked, new Promise<boolean>(resolve => setTimeout(resolve, 3000, true))])
}
