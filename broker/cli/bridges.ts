import { keepCommand } from '../audit.ts'
import { addBridge, listBridges, removeBridge } from '../devices/bridges.ts'
import { checkName, type StoreCommand, UsageError } from './command.ts'

const add: StoreCommand = {
  name: 'bridge add',
  argument: 'NAME',
  flags: ['topic'],
  about: 'let sensors that are there already publish on these topics; prints the password, this once',
  begins: true,
  async run(store, { nowMs, print, flags }, name) {
    checkName('bridge', name)
    const topics = flags.topic ?? []
    if (topics.length === 0)
      throw new UsageError('Cannot add bridge: name its topics: --topic home/shelf/# (again for each)')
    const password = await addBridge(store, { name, topics, nowMs })
    await keepCommand(store, 'let a bridge in', name, nowMs)
    print(JSON.stringify({ bridge: name, password, topics }))
  },
}

const list: StoreCommand = {
  name: 'bridge list',
  about: 'the bridges, and the topics that each may use',
  begins: false,
  async run(store, { print }) {
    for (const { name, topics, createdAtMs } of await listBridges(store))
      print(JSON.stringify({ bridge: name, topics, addedAt: new Date(createdAtMs).toISOString() }))
  },
}

const remove: StoreCommand = {
  name: 'bridge remove',
  argument: 'NAME',
  about: 'let a bridge speak no longer; what it sent is kept',
  begins: false,
  async run(store, { nowMs, print }, name) {
    await removeBridge(store, name)
    await keepCommand(store, 'let a bridge in no more', name, nowMs)
    print(JSON.stringify({ bridge: name, removed: true }))
  },
}

export const bridgeCommands = [add, list, remove]
