import { setPassword } from '../password.ts'
import { hashSecret, newSecret } from '../secrets.ts'
import { checkName, CommandError, type StoreCommand } from './command.ts'

const addToken: StoreCommand = {
  name: 'token add',
  argument: 'NAME',
  about: 'a bearer token for a program that uses the API; an earlier one of this name ends',
  begins: true,
  async run(store, { nowMs, print }, name) {
    checkName('token', name)
    const token = newSecret()
    await store.keepToken({ name, hash: hashSecret(token), createdAtMs: nowMs })
    print(JSON.stringify({ name, token }))
  },
}

const listTokens: StoreCommand = {
  name: 'token list',
  about: 'the tokens that programs use the API with',
  begins: false,
  async run(store, { print }) {
    for (const { name, createdAtMs } of await store.tokens())
      print(JSON.stringify({ name, addedAt: new Date(createdAtMs).toISOString() }))
  },
}

const removeToken: StoreCommand = {
  name: 'token remove',
  argument: 'NAME',
  about: 'end a token: what uses it is let in no longer',
  begins: false,
  async run(store, { print }, name) {
    if (!(await store.dropToken(name)))
      throw new CommandError(`Cannot remove token: there is none called "${name}"`)
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
    say('The password is set. Whoever was signed in has to sign in again.')
  },
}

export const accessCommands = [addToken, listTokens, removeToken, setThePassword]
