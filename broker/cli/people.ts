import qrcode from 'qrcode'
import { commandLine, keepAct } from '../audit.ts'
import {
  addPerson,
  newLink,
  people,
  PeopleError,
  removePerson,
  type NewLink,
  type Person,
} from '../people.ts'
import { reachedAt } from '../reached-at.ts'
import { isRole, SignInRole } from '../roles.ts'
import type { OpenedStore } from '../store/open-at.ts'
import { CommandError, UsageError, type StoreCommand, type Terminal } from './command.ts'

const add: StoreCommand = {
  name: 'person add',
  argument: 'NAME',
  about:
    'let somebody sign in, as helper unless --role says viewer; prints a link that is good once, for three days',
  flags: ['role'],
  begins: false,
  async run(store, terminal, name) {
    const role = terminal.flags.role ?? SignInRole.helper
    if (!isRole(role))
      throw new UsageError(`Cannot let somebody in: --role must be viewer or helper, got "${role}"`)
    const made = await asked(() => addPerson(store, { name, role }, terminal.nowMs))
    const subject = `${made.person.name}, ${role}`
    await keepAct(store, { ...commandLine, act: 'let somebody in', subject }, terminal.nowMs)
    await showLink(store, terminal, made)
  },
}

const link: StoreCommand = {
  name: 'person link',
  argument: 'NAME',
  about: 'a new link for somebody who lost theirs, their phone or their password',
  begins: false,
  async run(store, terminal, name) {
    const { id } = await called(store, name)
    const made = await asked(() => newLink(store, id, terminal.nowMs))
    await keepAct(
      store,
      { ...commandLine, act: 'made a new link', subject: made.person.name },
      terminal.nowMs,
    )
    await showLink(store, terminal, made)
  },
}

const list: StoreCommand = {
  name: 'person list',
  about: 'who may sign in besides the owner',
  begins: false,
  async run(store, { print }) {
    for (const { name, role, createdAtMs } of await people(store))
      print(JSON.stringify({ name, role, addedAt: new Date(createdAtMs).toISOString() }))
  },
}

const remove: StoreCommand = {
  name: 'person remove',
  argument: 'NAME',
  about: 'let somebody in no more; their sessions end',
  begins: false,
  async run(store, { nowMs, print }, name) {
    const { id } = await called(store, name)
    await removePerson(store, id)
    await keepAct(store, { ...commandLine, act: 'let somebody in no more', subject: name }, nowMs)
    print(JSON.stringify({ name, removed: true }))
  },
}

async function called(store: OpenedStore, name: string): Promise<Person> {
  const found = (await people(store)).find(person => person.name === name)
  if (found) return found
  throw new CommandError(`Cannot find person: nobody who may sign in is called "${name}"`)
}

async function asked<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work()
  } catch (error) {
    if (error instanceof PeopleError) throw new CommandError(error.message)
    throw error
  }
}

/** The path as one line for programs; for people the whole address, with a picture for a phone. */
async function showLink(store: OpenedStore, { print, say }: Terminal, made: NewLink): Promise<void> {
  const { person, secret, untilMs } = made
  const path = `/join#${secret}`
  print(
    JSON.stringify({
      name: person.name,
      role: person.role,
      path,
      expiresAt: new Date(untilMs).toISOString(),
    }),
  )
  const [at] = await reachedAt(store)
  if (at === undefined) {
    say(
      'Open this path at the address of the dashboard. No other machine reaches the service: start it with --lan.',
    )
    return
  }
  const address = `http://${at}${path}`
  say(await qrcode.toString(address, { type: 'terminal', small: true }))
  say(`${address} (with https where the service was started with --tls)`)
}

export const peopleCommands = [add, link, list, remove]
