import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import type { Browser } from 'playwright-core'
import { middle } from './numbers.ts'
import { openBrowser, openPage, watchForCone, type Shown } from './rig/browser.ts'
import { watchFrames, type Frames } from './rig/frames.ts'
import { startLoad } from './rig/load.ts'
import { PackKind } from './rig/packs.ts'
import { wait } from './rig/process.ts'
import { openRoom, type Room } from './rig/room.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const ASSETS = fileURLToPath(new URL('../../dist/dashboard/assets', import.meta.url))
const VESSELS = 12
const READINGS_PER_S = 10
/** A page settles before its frames are looked at. */
const SETTLE_MS = 2000

/** What the dashboard costs the device that shows it. */
export const page: Subject = {
  name: 'page',
  async measure(settings) {
    const room = await openRoom(VESSELS, settings)
    const browser = await openBrowser()
    try {
      const opened = await firstPicture(room, browser, settings)
      const frames = await streaming(room, browser, settings)
      return [...weight(), ...opened, ...frames]
    } finally {
      await browser.close()
      await room.close()
    }
  },
}

/** What the first screen fetches before it can draw, and what all pages together would. */
function weight(): Figure[] {
  const first = firstLoad()
  const all = readdirSync(ASSETS).filter(name => /\.(js|css)$/.test(name))
  return [
    {
      name: 'script and style of the first screen, gzipped',
      value: gzippedKb(first),
      unit: 'kB',
      bar: { below: 120 },
      note: first.join(', '),
    },
    { name: 'script and style of all pages, gzipped', value: gzippedKb(all), unit: 'kB' },
  ]
}

const textOf = (name: string): string => readFileSync(join(ASSETS, name), 'utf8')

function gzippedKb(names: readonly string[]): number {
  return names.reduce((sum, name) => sum + gzipSync(textOf(name), { level: 9 }).length, 0) / 1000
}

/** The files that the page names, and all that those import at once; what is imported later is not waited for. */
function firstLoad(): string[] {
  const page = readFileSync(join(ASSETS, '../index.html'), 'utf8')
  const found = new Set<string>()
  const take = (name: string): void => {
    if (found.has(name)) return
    found.add(name)
    if (!name.endsWith('.js')) return
    for (const [, imported = ''] of textOf(name).matchAll(/(?:from|import)\s*["'`]\.\/([^"'`]+\.js)["'`]/g))
      take(imported)
  }
  for (const [, name = ''] of page.matchAll(/(?:src|href)="\/assets\/([^"]+\.(?:js|css))"/g)) take(name)
  return [...found]
}

/** Each time with an empty cache, from navigation. */
async function firstPicture(room: Room, browser: Browser, settings: Settings): Promise<Figure[]> {
  const shown: Shown[] = []
  for (let repeat = 0; repeat < settings.repeats + 1; repeat++) {
    const tab = await openPage(browser)
    const cone = await watchForCone(tab)
    await tab.goto(room.program.http)
    shown.push(await cone())
    await tab.context().close()
  }
  // The first one warms the browser's own start up.
  shown.shift()
  const bar = { below: 1000 }
  return [
    { name: 'first contentful paint', ...middle(shown.map(each => each.paintMs)), unit: 'ms', bar },
    {
      name: 'first cone on screen',
      ...middle(shown.map(each => each.coneMs)),
      unit: 'ms',
      bar,
      note: `of ${VESSELS}`,
    },
  ]
}

/**
 * Frames while all vessels send. The load, the program and the browser share the machine, so an empty page is watched under the
 * same load first: what it stutters is not the dashboard's.
 */
async function streaming(room: Room, browser: Browser, settings: Settings): Promise<Figure[]> {
  const load = startLoad({
    host: room.program.mqttHost,
    port: room.program.mqttPort,
    devices: room.devices,
    boot: 'stream',
    pack: PackKind.three,
    pace: { packsPerSecond: VESSELS * READINGS_PER_S },
    warmUpS: 1,
    seconds: 3600,
  })
  await load.warm
  const { http } = room.program
  const empty = await framesOf(browser, 'data:text/html,<title>empty</title><p>empty</p>', settings)
  const views = [
    { name: 'room', frames: await framesOf(browser, http, settings) },
    { name: 'one vessel', frames: await framesOf(browser, `${http}/vessel/${room.vesselIds[0]}`, settings) },
  ]
  load.stop()
  const { packsPerSecond } = await load.result
  return [
    ...views.flatMap(({ name, frames }): Figure[] => [
      {
        name: `${name}: longest frame while ${VESSELS} vessels stream`,
        value: frames.longestMs,
        unit: 'ms',
        bar: { atMost: 50 },
        note: `${frames.over50} of ${frames.count} over 50 ms, p99 ${frames.p99Ms.toFixed(1)} ms; ${packsPerSecond.toFixed(0)} packs/s`,
      },
      {
        name: '  longest task of its script',
        value: frames.longestTaskMs,
        unit: 'ms',
        note: frames.longestTaskMs === 0 ? 'none reached 50 ms' : `${frames.longTasks} of 50 ms or more`,
      },
      { name: '  times the empty page', value: frames.longestMs / empty.longestMs, unit: '' },
    ]),
    {
      name: 'empty page under the same load: longest frame',
      value: empty.longestMs,
      unit: 'ms',
      note: `${empty.over50} of ${empty.count} over 50 ms, p99 ${empty.p99Ms.toFixed(1)} ms`,
    },
  ]
}

async function framesOf(browser: Browser, url: string, { quick, say }: Settings): Promise<Frames> {
  const tab = await openPage(browser)
  await tab.goto(url)
  await wait(SETTLE_MS)
  const frames = await watchFrames(tab, quick ? 3000 : 10_000)
  await tab.context().close()
  say(`  ${url.slice(0, 40)}: ${frames.count} frames, longest ${frames.longestMs.toFixed(1)} ms`)
  return frames
}
