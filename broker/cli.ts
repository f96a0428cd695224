import { askNewPassword } from './cli/new-password.ts'
import { run } from './cli/run.ts'

const ask = (text: string): void => void process.stderr.write(text)

process.exitCode = await run(process.argv.slice(2), {
  nowMs: Date.now(),
  env: process.env,
  print: line => void process.stdout.write(`${line}\n`),
  say: line => void process.stderr.write(`${line}\n`),
  newPassword: () => askNewPassword(process.stdin, ask),
})
