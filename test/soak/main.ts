import { parseArgs } from 'node:util'
import { middle, soak } from './soak.ts'

/** Kills a simulated day, rounded. */
const KILLS_A_DAY = 3

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '7' },
    vessels: { type: 'string', default: '12' },
    speed: { type: 'string', default: '1800' },
    seed: { type: 'string', default: '1' },
    kills: { type: 'string' },
  },
})
const [days, vessels, speed, seed] = [values.days, values.vessels, values.speed, values.seed].map(Number) as [
  number,
  number,
  number,
  number,
]
const kills = Number(values.kills ?? Math.ceil(days * KILLS_A_DAY))
if (![days, vessels, speed].every(each => each > 0) || !Number.isInteger(seed) || !(kills >= 0)) {
  console.error('Usage: npm run soak -- [--days 7] [--vessels 12] [--speed 1800] [--seed 1] [--kills N]')
  process.exit(2)
}
console.log(
  `${vessels} vessels for ${days} days at ${speed} times real time: ${((days * 1440) / speed).toFixed(1)} min`,
)
const report = await soak({ hours: days * 24, vessels, speed, seed, kills })
console.log('\n| device | sampled | stored | dropped | lost at a reboot | unsure | reboots |')
console.log('| --- | --- | --- | --- | --- | --- | --- |')
for (const { device, sampled, stored, dropped, lost, unsure, reboots } of report.rows)
  console.log(`| ${[device, sampled, stored, dropped, lost, unsure, reboots].join(' | ')} |`)
const { alarms, residentMb } = report
console.log(
  `\n${report.batches} batches, ${report.kills} kills, ${alarms.kept} alarms (${alarms.logged} in the log), memory ${middle(residentMb).toFixed(0)} MiB (${Math.max(...residentMb).toFixed(0)} at most)`,
)
for (const miss of report.misses) console.error(`MISSED: ${miss}`)
process.exit(report.misses.length > 0 ? 1 : 0)
