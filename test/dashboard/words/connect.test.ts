import { describe, expect, it } from 'vitest'
import { addDeviceCommand, firstReadingCommand } from '../../../dashboard/words/connect.ts'

describe('the commands to connect a device', () => {
  it('are the usual ones when the broker says nothing, or is set up as usual', () => {
    const usual = 'npm run -s brinewatch -- device add bench-1'
    expect(addDeviceCommand('bench-1', null)).toBe(usual)
    expect(addDeviceCommand('bench-1', { mqttPort: 1883, dataDir: 'data' })).toBe(usual)
    expect(firstReadingCommand('broker.home', 'bench-1', null)).toContain('-h broker.home -p 1883 -u bench-1')
    expect(firstReadingCommand('h', 'n', { mqttPort: null, dataDir: 'data' })).toContain('-p 1883 ')
  })
  it('name the port and the directory that this broker uses', () => {
    const connect = { mqttPort: 11_883, dataDir: '/srv/brine' }
    expect(firstReadingCommand('h', 'n', connect)).toContain('-p 11883 ')
    expect(addDeviceCommand('n', connect)).toMatch(/ device add n --data \/srv\/brine$/)
  })
  it('can be pasted even when the directory has blanks or quotes in it', () =>
    expect(addDeviceCommand('n', { mqttPort: 1, dataDir: "my dad's $HOME" })).toMatch(
      / --data 'my dad'\\''s \$HOME'$/,
    ))
})
