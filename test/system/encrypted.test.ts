import { spawnSync } from 'node:child_process'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { WebSocket } from 'ws'
import { readFileSync } from 'node:fs'
import { ask } from './ask.ts'
import { addDevice, freshDir, removeDir, startProgram } from './program.ts'

it('with --tls, pages, live feed and link are encrypted by a certificate that was made at the first run', async () => {
  const dir = freshDir()
  const tls = join(dir, 'tls')
  const device = addDevice(dir, 'bench-1')
  const program = await startProgram(dir, ['--tls', tls, '--mqtt-clear', '127.0.0.1:0'])
  const address = program.http
  expect(address).toMatch(/^https:/)
  const authority = join(tls, 'made-authority.pem')
  const ca = readFileSync(authority, 'utf8')

  expect(await ask(`${address}/healthz`, ca)).toMatchObject({ status: 200 })
  expect((await ask(`${address}/authority.pem`, ca)).text).toBe(ca)
  const socket = new WebSocket(`${address.replace('https', 'wss')}/api/v1/live`, {
    ca,
    origin: address,
  })
  const snapshot = await new Promise<string>((resolve, reject) => {
    socket.on('message', data => resolve((data as Buffer).toString()))
    socket.on('error', reject)
  })
  expect(JSON.parse(snapshot)).toHaveProperty('type')
  socket.terminate()

  expect(program.readyLine).toContain('mqtts://')
  const clearPort = /in the clear mqtt:\/\/127\.0\.0\.1:(\d+)$/.exec(program.readyLine)![1]!
  const publish = (port: number | string, ...trust: string[]) =>
    spawnSync(
      'mosquitto_pub',
      // As a board does that knows the authority: https://mosquitto.org/man/mosquitto_pub-1.html, --cafile.
      [
        '-h',
        'localhost',
        '-p',
        String(port),
        '-u',
        device.device,
        '-P',
        device.password,
        '-q',
        '1',
        ...trust,
      ].concat(['-t', 'brinewatch/v1/bench-1/measurements', '-m', '[{"n":"water","u":"Cel","v":27.1}]']),
      { encoding: 'utf8', timeout: 15_000 },
    )
  expect(publish(program.mqttPort, '--cafile', authority).status).toBe(0)
  expect(publish(program.mqttPort).status).not.toBe(0)
  // A board that cannot encrypt, in a network of its own.
  expect(publish(clearPort).status).toBe(0)
  expect((await ask(`${address}/api/v1/devices`, ca)).text).toContain('27.1')
  expect(await program.stop()).toBe(0)
  removeDir(dir)
})

it('three that start at once with one --tls folder have one authority, whoever was first', async () => {
  const dirs = [freshDir(), freshDir(), freshDir()]
  const tls = join(dirs[0]!, 'tls')
  const programs = await Promise.all(dirs.map(dir => startProgram(dir, ['--tls', tls])))
  const ca = readFileSync(join(tls, 'made-authority.pem'), 'utf8')
  // Each is asked by somebody who trusts that one alone.
  for (const { http } of programs)
    expect(await ask(`${http}/authority.pem`, ca)).toMatchObject({ status: 200, text: ca })
  for (const program of programs) expect(await program.stop()).toBe(0)
  dirs.forEach(removeDir)
})
