import { openStore } from '../../../broker/store/sqlite/open.ts'
import { hashSecret, newSecret } from '../../../broker/secrets.ts'
import { freshDir, removeDir, startProgram, type Program } from '../../system/program.ts'
import type { Settings } from '../subject.ts'
import type { Credentials } from './load.ts'

export interface Room {
  readonly program: Program
  readonly devices: readonly Credentials[]
  /** The vessel of each device. */
  readonly vesselIds: readonly string[]
  /** Asks the API, and throws unless it is content. */
  ask(method: string, path: string, body?: unknown): Promise<any>
  /** Ends the program and forgets its data. */
  close(): Promise<void>
}

/** The built program on fresh data, with devices, each on a vessel of its own with an open batch, so that every rule watches. */
export async function openRoom(
  vessels: number,
  { profileDir }: Pick<Settings, 'profileDir'>,
  programFlags: readonly string[] = [],
): Promise<Room> {
  const dir = freshDir()
  const devices = await addDevices(dir, vessels)
  const flags = profileDir === null ? [] : ['--cpu-prof', `--cpu-prof-dir=${profileDir}`]
  const program = await startProgram(dir, programFlags, flags)
  const ask = async (method: string, path: string, body?: unknown) => {
    const answer = await program.api(method, path, body)
    if (answer.status >= 300) {
      throw new Error(`${method} ${path} answered ${answer.status}: ${JSON.stringify(answer.body)}`)
    }
    return answer.body
  }
  const vesselIds: string[] = []
  for (const { device } of devices) {
    const { id } = await ask('POST', '/api/v1/vessels', { name: `Cone ${device}`, litres: 1 })
    await ask('PUT', `/api/v1/vessels/${id}/channels`, {
      water: `${device}/water`,
      air: `${device}/air`,
      light: `${device}/light`,
    })
    const startedAt = new Date(Date.now() - 2 * 3_600_000).toISOString()
    await ask('POST', '/api/v1/batches', { vesselId: id, startedAt, litres: 1, cystsG: 2, salinityGpl: 25 })
    vesselIds.push(id)
  }
  return {
    program,
    devices,
    vesselIds,
    ask,
    async close() {
      const code = await program.stop()
      removeDir(dir)
      if (code !== 0) throw new Error(`the program ended with ${code}: ${program.log()}`)
    },
  }
}

/** Written straight into the store: the command takes a process for each. */
async function addDevices(dir: string, count: number): Promise<Credentials[]> {
  const store = await openStore({ dir, threads: false })
  const devices = Array.from({ length: count }, (_, i) => ({ device: `load-${i}`, password: newSecret() }))
  await Promise.all(
    devices.map(({ device, password }) =>
      store.addDevice({ name: device, secretHash: hashSecret(password), createdAtMs: Date.now() }),
    ),
  )
  await store.close()
  return devices
}

/** The counter of this name in `/metrics`. */
export async function metric(room: Room, name: string): Promise<number> {
  const text = (await room.ask('GET', '/metrics')) as string
  const value = new RegExp(`^${name} (\\S+)$`, 'm').exec(text)?.[1]
  if (value === undefined) throw new Error(`Cannot read ${name}: /metrics does not tell it`)
  return Number(value)
}
