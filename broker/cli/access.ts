import { commandLine, keepAct } from '../audit.ts'
import { setPassword } from '../password.ts'
import { isRole, SignInRole } from '../roles.ts'
import { hashSecret, newSecret } from '../secrets.ts'
import { checkName, CommandError, UsageError, type StoreCommand } from './command.ts'

const addToken: StoreCommand = {
  name: 'token add',
  argument: 'NAME',
  about:
    'a bearer token for a program that uses the API, as owner unless --role says less; an earlier one of this name ends',
  flags: ['role'],
  begins: true,
  async run(store, { nowMs, print, flags }, name) {
    checkName('token', name)
    const role = flags.role ?? SignInRole.owner
    if (!isRole(role))
      throw new UsageError(`Cannot add token: --role must be viewer, helper or owner, got "${role}"`)
    const token = newSecret()
    await store.keepToken({ name, role, hash: hashSecret(token), createdAtMs: nowMs })
    await keepAct(store, { ...commandLine, act: 'added a token', subject: `${name}, ${role}` }, nowMs)
    print(JSON.stringify({ name, role, token }))
  },
}

const listTokens: StoreCommand = {
  name: 'token list',
  about: 'the tokens that programs use the API with',
  begins: false,
  async run(store, { print }) {
    for (const { name, role, createdAtMs } of await store.tokens())
      print(JSON.stringify({ name, role, addedAt: new Date(createdAtMs).toISOString() }))
  },
}

const removeToken: StoreCommand = {
  name: 'token remove',
  argument: 'NAME',
  about: 'end a token: what uses it is let in no longer',
  begins: false,
  async run(store, { nowMs, print }, name) {
    if (!(await store.dropToken(name)))
      throw new CommandError(`Cannot remove token: there is none called "${name}"`)
    await keepAct(store, { ...commandLine, act: 'ended a token', subject: name }, nowMs)
    print(JSON.stringify({ name, removed: true }))
  },
}

const setThePassword: StoreCommand = {
  name: 'password set',
  about: 'the password to sign in with, typed or piped in; signs everybody out',
  begins: true,
  async run(store, { nowMs, say, newPassword }) {
    try {
      await setPassword(store, await newPassword(), nowMs)
    } catch (error) {
      if (error instanceof RangeError) throw new CommandError(error.message)
      throw error
    }
    await keepAct(store, { ...commandLine, act: 'set the password' }, nowMs)
    say('The password is set. Whoever was signed in has to sign in again.')
  },
}

export const accessCommands = [addToken, listTokens, removeToken, setThePassword]
