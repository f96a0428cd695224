import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { unitsOf } from '../../firmware-protocol/channels.ts'
import { deviceAlarm, MAX_ALARM_BYTES, MAX_ALARM_TEXT } from '../../firmware-protocol/device-alarm.ts'
import { deviceConfig } from '../../firmware-protocol/device-config.ts'
import { deviceCommand } from '../../firmware-protocol/device-orders.ts'
import { deviceState } from '../../firmware-protocol/device-state.ts'
import { decodePack } from '../../firmware-protocol/pack.ts'
import { QuarantineReason } from '../../broker/intake/reading.ts'

const text = readFileSync(new URL('../../firmware-protocol/README.md', import.meta.url), 'utf8')
const examples = [...text.matchAll(/```json\n([^]*?)```/g)].map(match => match[1]!)

describe('the specification', () => {
  it('has examples that its own rules accept', () => {
    const [pack, state, config, alarm, command] = examples
    expect(examples).toHaveLength(5)
    const read = decodePack(Buffer.from(pack!))
    expect(read.rejected).toEqual([])
    expect(read).toMatchObject({ boot: 'k3v9x2', seq: 41, uptimeS: 3605.2 })
    expect(read.measurements).toHaveLength(5)
    const json = (example: string | undefined): unknown => JSON.parse(example!)
    expect(deviceState.parse(json(state))).toEqual(json(state))
    expect(deviceConfig.parse(json(config))).toEqual(json(config))
    expect(deviceAlarm.parse(json(alarm))).toEqual(json(alarm))
    expect(deviceCommand.parse(json(command))).toEqual(json(command))
  })

  it('tries a pack that is read', () => {
    const payload = /mosquitto_pub .* -m '(.*)'/.exec(text)![1]!
    expect(decodePack(Buffer.from(payload)).measurements).toHaveLength(2)
  })

  it('names every field of an alarm and its limits', () => {
    const known = Object.keys(deviceAlarm.shape)
    for (const field of known) expect(text).toMatch(new RegExp(`^\\| .*\`${field}\`.* \\|`, 'm'))
    expect(text).toContain(`up to ${MAX_ALARM_TEXT} characters`)
    expect(text).toContain(`at most ${MAX_ALARM_BYTES / 1024} KiB`)
  })

  it('names every unit and every reason', () => {
    for (const quantity of ['water', 'room', 'air', 'light', 'level'] as const)
      expect(text).toContain(
        unitsOf(quantity)
          .map(unit => `\`${unit}\``)
          .join(', '),
      )
    for (const reason of Object.values(QuarantineReason)) expect(text).toContain(`| \`${reason}\` |`)
  })
})
