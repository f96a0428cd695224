import { openStore } from '../../broker/store/sqlite/open.ts'
import { RoomApi } from '../../sim/demo/room-api.ts'
import { playSeason, readSeason } from '../../sim/demo/season.ts'
import { freshDir, removeDir, startProgram, type Program } from '../system/program.ts'
import { middle } from './numbers.ts'
import { openBrowser, openPage } from './rig/browser.ts'
import type { Subject } from './subject.ts'

const MOST = 40
const BAR = { below: 1000 }

/** A season of forty batches side by side: how soon they are answered, and how soon they are drawn. */
export const compare: Subject = {
  name: 'compare',
  async measure(settings) {
    const dir = freshDir()
    settings.say('  bringing a season in')
    const bringing = await startProgram(dir)
    await playSeason(new RoomApi(bringing.http), Date.now(), () => false)
    await bringing.stop()
    const started: number[] = []
    const again: number[] = []
    const anew: number[] = []
    const drawn: number[] = []
    const browser = await openBrowser()
    try {
      for (let repeat = 0; repeat < settings.repeats; repeat++) {
        const program = await startProgram(dir)
        try {
          started.push(await answered(program))
          again.push(await answered(program))
          const page = await openPage(browser)
          await page.goto(program.http)
          await page.getByRole('link', { name: 'brinewatch: the room' }).waitFor()
          drawn.push(await page.evaluate(go, { path: '/compare', most: MOST }))
          await page.context().close()
        } finally {
          await program.stop()
        }
        await forgetLines(dir)
        const forgetful = await startProgram(dir)
        try {
          anew.push(await answered(forgetful))
        } finally {
          await forgetful.stop()
        }
      }
    } finally {
      await browser.close()
      removeDir(dir)
    }
    const unit = 'ms'
    return [
      {
        name: `${MOST} batches side by side: the first answer after a start`,
        ...middle(started),
        unit,
        bar: BAR,
      },
      { name: '  the next answer', ...middle(again), unit, bar: BAR },
      { name: '  the first one where nothing was reckoned before', ...middle(anew), unit },
      {
        name: '  drawn',
        ...middle(drawn),
        unit,
        bar: BAR,
        note: 'from the tap to all pictures and curves, the page not fetched before',
      },
    ]
  },
}

async function answered(program: Program): Promise<number> {
  const from = performance.now()
  const { body } = await program.api('GET', '/api/v1/batches/compared')
  const tookMs = performance.now() - from
  const got = (body.batches as { hatched: unknown }[]).filter(({ hatched }) => hatched !== null).length
  if (got !== MOST) throw new Error(`Cannot measure the comparison: ${MOST} hatches were due, got ${got}`)
  return tookMs
}

/** As if none of them had ever been asked for. */
async function forgetLines(dir: string): Promise<void> {
  const store = await openStore({ dir })
  for (const { batch } of readSeason().batches)
    await store.keepDocument(`hatch-line:${(batch as unknown as { id: string }).id}`, 'null')
  await store.close()
}

/** Runs in the page: from the tap to the frame after all of it was drawn, ms. */
function go({ path, most }: { path: string; most: number }): Promise<number> {
  const from = performance.now()
  history.pushState(null, '', path)
  dispatchEvent(new PopStateEvent('popstate'))
  return new Promise(resolve => {
    const look = () => {
      const page = document.querySelector('bw-app')?.shadowRoot?.querySelector('bw-compare-page')?.shadowRoot
      const small = [...(page?.querySelectorAll('bw-small-batch') ?? [])]
      const plots = page?.querySelector('bw-overlay')?.shadowRoot?.querySelectorAll('canvas').length ?? 0
      if (small.length === most && plots >= 4 && small.every(one => one.shadowRoot?.querySelector('svg')))
        requestAnimationFrame(() => resolve(performance.now() - from))
      else requestAnimationFrame(look)
    }
    look()
  })
}
