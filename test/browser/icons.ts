import { readFileSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { launch } from './chromium.ts'

/** Draws the icons of the installed app from their pictures. Run after a picture was changed: `npx tsx test/browser/icons.ts`. */
const folder = fileURLToPath(new URL('../../dashboard/public/icons/', import.meta.url))
const ICONS = [
  { from: 'cone.svg', to: 'cone-192.png', size: 192 },
  { from: 'cone.svg', to: 'cone-512.png', size: 512 },
  { from: 'cone-maskable.svg', to: 'cone-maskable-192.png', size: 192 },
  { from: 'cone-maskable.svg', to: 'cone-maskable-512.png', size: 512 },
  // Phones tint what is opaque of a badge, so it is a shape and no more.
  { from: 'badge.svg', to: 'badge-96.png', size: 96 },
] as const

const browser = await launch()
try {
  for (const { from, to, size } of ICONS) {
    const page = await browser.newPage({ viewport: { width: size, height: size } })
    const svg = readFileSync(folder + from, 'utf8').replace('<svg ', `<svg width="${size}" height="${size}" `)
    await page.setContent(`<style>html,body{margin:0;background:transparent}svg{display:block}</style>${svg}`)
    writeFileSync(folder + to, await page.screenshot({ omitBackground: true }))
    await page.close()
  }
} finally {
  await browser.close()
}
