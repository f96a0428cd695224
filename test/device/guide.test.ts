import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const dir = new URL('../../firmware-protocol/device/', import.meta.url)
const guide = readFileSync(new URL('README.md', dir), 'utf8')
const programs = [
  ...readdirSync(dir),
  ...readdirSync(new URL('drivers/', dir)).map(name => `drivers/${name}`),
]
  .filter(name => name.endsWith('.py'))
  .map(name => [name, readFileSync(new URL(name, dir), 'utf8')] as const)

describe('the guide', () => {
  it('names every program, and has a drawing with a text for whoever cannot see it', () => {
    for (const [name] of programs)
      expect(guide).toContain(name.startsWith('drivers/') ? '`drivers/`' : `\`${name.replace('.py', '')}`)
    const drawing = readFileSync(new URL('wiring.svg', dir), 'utf8')
    expect(drawing).toMatch(/<title [^]*<desc /)
    expect(guide).toContain('](wiring.svg)')
  })

  it('says the numbers of the program', () => {
    const text = (name: string) => programs.find(([each]) => each === name)![1]
    expect(text('safety.py')).toContain('HOT_C = 29.4')
    expect(guide).toContain('29.4 °C')
    expect(text('safety.py')).toContain('DARK_MS = 300000')
    expect(text('safety.py')).toContain('HUSH_MS = 600000')
    expect(text('outbox.py')).toContain('SAVE_MS = 30000')
    expect(guide).toContain('when they are 30 s old')
  })

  it('gives settings that are JSON, of the kinds that there are', () => {
    const settings = JSON.parse(/```json\n([^]*?)```/.exec(guide)![1]!) as { channels: { kind: string }[] }
    for (const { kind } of settings.channels)
      expect(programs.find(([name]) => name === 'settings.py')![1]).toContain(`"${kind}"`)
  })
})

describe('the program', () => {
  it('keeps hardware out of everything but its drivers and its start', () => {
    const hardware = /^\s*(import|from) (machine|network|onewire|socket|select|os|time)\b/m
    const apart = new Set(['main.py', 'wiring.py', 'flash.py'])
    for (const [name, text] of programs)
      if (!name.startsWith('drivers/') && !apart.has(name))
        expect([name, hardware.test(text)]).toEqual([name, false])
    expect(hardware.test(programs.find(([name]) => name === 'main.py')![1])).toBe(true)
  })
})
