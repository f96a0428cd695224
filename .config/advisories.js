// Open advisories against what the service is made of. High and critical ones fail; where the registry does not answer
// (no network, or a mirror without advisories) that is said plainly, and nothing fails for it.
import { spawnSync } from 'node:child_process'

const PATIENCE_MS = 30_000
const unknown = why => {
  console.error(`Advisories: not checked, ${why}`)
  process.exit(0)
}

const { stdout, error } = spawnSync('npm', ['audit', '--omit=dev', '--json'], {
  encoding: 'utf8',
  timeout: PATIENCE_MS,
  maxBuffer: 64 * 1024 * 1024,
})
if (error) unknown(error.code === 'ETIMEDOUT' ? 'the registry did not answer in time' : error.message)
let report
try {
  report = JSON.parse(stdout)
} catch {
  unknown('npm audit answered with something that is no JSON')
}
const counts = report?.metadata?.vulnerabilities
if (!counts)
  unknown(
    `the registry has no advisories to give (${report?.error?.code ?? report?.message ?? 'no reason given'})`,
  )
const grave = Object.values(report.vulnerabilities ?? {}).filter(({ severity }) =>
  ['high', 'critical'].includes(severity),
)
for (const { name, severity, range } of grave) console.error(`Advisories: ${name} ${range} is ${severity}`)
if (grave.length > 0) process.exit(1)
console.error(`Advisories: none high or critical; ${counts.moderate ?? 0} moderate, ${counts.low ?? 0} low`)
