import qrcode from 'qrcode'
import { setupPage, showCode, SETUP_NETWORK } from '../../firmware-protocol/pairing.ts'
import { keepCommand } from '../audit.ts'
import { makeCode, offerPassword, voidCodes } from '../devices/pairing.ts'
import { reachedAt } from '../reached-at.ts'
import { hashSecret, newSecret } from '../secrets.ts'
import type { OpenedStore } from '../store/open-at.ts'
import { checkName, CommandError, type StoreCommand, type Terminal } from './command.ts'

const add: StoreCommand = {
  name: 'device add',
  argument: 'NAME',
  about: 'let a device speak; prints its password, this once, or with --code a code to type at the device',
  flags: ['code'],
  begins: true,
  async run(store, terminal, name) {
    checkName('device', name)
    const { nowMs, print, flags } = terminal
    const password = newSecret()
    await store.addDevice({ name, secretHash: hashSecret(password), createdAtMs: nowMs })
    await keepCommand(store, 'let a device in', name, nowMs)
    if (flags.code) await showNewCode(store, terminal, name)
    else print(JSON.stringify({ device: name, password }))
  },
}

const rotate: StoreCommand = {
  name: 'device rotate',
  argument: 'NAME',
  about: 'a new password or code for a device; the password before is good until the new one is used',
  flags: ['code'],
  begins: false,
  async run(store, terminal, name) {
    const { nowMs, print, flags } = terminal
    if (flags.code) {
      await mustSpeak(store, name)
      return showNewCode(store, terminal, name)
    }
    const offered = await offerPassword(store, name, nowMs)
    if (!offered) throw cannotFind('rotate', name)
    const { device, password, untilMs } = offered
    await keepCommand(store, 'made a new password for a device', name, nowMs)
    print(JSON.stringify({ device, password, expiresAt: new Date(untilMs).toISOString() }))
  },
}

const list: StoreCommand = {
  name: 'device list',
  about: 'the devices that may speak, and those that were revoked',
  begins: false,
  async run(store, { print }) {
    for (const { name, createdAtMs, revokedAtMs, removedAtMs } of await store.devices()) {
      if (removedAtMs !== undefined) continue
      const revoked = revokedAtMs === null ? {} : { revokedAt: new Date(revokedAtMs).toISOString() }
      print(JSON.stringify({ device: name, addedAt: new Date(createdAtMs).toISOString(), ...revoked }))
    }
  },
}

const revoke: StoreCommand = {
  name: 'device revoke',
  argument: 'NAME',
  about: 'let a device speak no longer; what it sent is kept',
  begins: false,
  async run(store, { nowMs, print }, name) {
    if (!(await store.revokeDevice(name, nowMs))) throw cannotFind('revoke', name)
    await voidCodes(store, name)
    await keepCommand(store, 'revoked a device', name, nowMs)
    print(JSON.stringify({ device: name, revoked: true }))
  },
}

const remove: StoreCommand = {
  name: 'device remove',
  argument: 'NAME',
  about: 'take a revoked device off the list; what it sent is kept',
  begins: false,
  async run(store, { nowMs, print }, name) {
    if (!(await store.removeDevice(name, nowMs)))
      throw new CommandError(`Cannot remove device: no device that was revoked is called "${name}"`)
    await keepCommand(store, 'took a device off the list', name, nowMs)
    print(JSON.stringify({ device: name, removed: true }))
  },
}

/** The code as one line for programs, and how to use it for people, with a picture for a phone. */
async function showNewCode(store: OpenedStore, { nowMs, print, say }: Terminal, name: string): Promise<void> {
  const { code, untilMs } = await makeCode(store, name, nowMs)
  await keepCommand(store, 'made a code for a device', name, nowMs)
  print(JSON.stringify({ device: name, code: showCode(code), expiresAt: new Date(untilMs).toISOString() }))
  const [at] = await reachedAt(store)
  if (at === undefined) {
    say('No other machine reaches the service: start it with --lan, so that the device can redeem the code.')
    return
  }
  const page = setupPage(code, at)
  say(
    `Within ten minutes: on a phone join the network ${SETUP_NETWORK}… of the device and open its page, or type the code and ${at} at its serial line.`,
  )
  say(await qrcode.toString(page, { type: 'terminal', small: true }))
  say(page)
}

async function mustSpeak(store: OpenedStore, name: string): Promise<void> {
  if ((await store.deviceSecret(name)) === undefined) throw cannotFind('rotate', name)
}

const cannotFind = (verb: string, name: string) =>
  new CommandError(`Cannot ${verb} device: no device that may speak is called "${name}"`)

export const deviceCommands = [add, rotate, list, revoke, remove]
