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

export const accessCommands = [addToken, setThePassword]
