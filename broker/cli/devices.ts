import { hashSecret, newSecret } from '../secrets.ts'
import { checkName, CommandError, type StoreCommand } from './command.ts'

const add: StoreCommand = {
  name: 'device add',
  argument: 'NAME',
  about: 'let a device speak; prints its password, this once',
  begins: true,
  async run(store, { nowMs, print }, name) {
    checkName('device', name)
    const password = newSecret()
    await store.addDevice({ name, secretHash: hashSecret(password), createdAtMs: nowMs })
    print(JSON.stringify({ device: name, password }))
  },
}

const list: StoreCommand = {
  name: 'device list',
  about: 'the devices that may speak',
  begins: false,
  async run(store, { print }) {
    for (const { name, createdAtMs, revokedAtMs } of await store.devices()) {
      if (revokedAtMs !== null) continue
      print(JSON.stringify({ device: name, addedAt: new Date(createdAtMs).toISOString() }))
    }
  },
}

const revoke: StoreCommand = {
  name: 'device revoke',
  argument: 'NAME',
  about: 'let a device speak no longer; what it sent is kept',
  begins: false,
  async run(store, { nowMs, print }, name) {
    if (!(await store.revokeDevice(name, nowMs))) {
      throw new CommandError(`Cannot revoke device: no device that may speak is called "${name}"`)
    }
    print(JSON.stringify({ device: name, revoked: true }))
  },
}

export const deviceCommands = [add, list, revoke]
