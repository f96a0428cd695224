import { ROLES } from '../../roles.ts'
import { ANYONE, type Rule } from './table.ts'

/** The rule for a request; `undefined` where the table has none. */
export type RuleFor = (method: string, path: string) => Rule | undefined

/** How much a rule asks for. */
const weight = ({ least }: Rule): number => (least === ANYONE ? -1 : ROLES.indexOf(least))

/** Prepares the look-up. Where a path fits two rows, as `/batches/usual` and `/batches/{id}`, the stricter one holds. */
export function rulesOf(table: Readonly<Record<string, Rule>>): RuleFor {
  const rows = Object.entries(table).map(([operation, rule]) => {
    const [method = '', path = ''] = operation.split(' ')
    const escaped = path.replaceAll(/[.*+?^$()|[\]\\]/g, '\\$&')
    return { method, pattern: new RegExp(`^${escaped.replaceAll(/\{\w+\}/g, '[^/]+')}$`), rule }
  })
  return (asked, path) => {
    const method = asked === 'HEAD' ? 'GET' : asked
    const fitting = rows.filter(row => row.method === method && row.pattern.test(path)).map(row => row.rule)
    return fitting.sort((a, b) => weight(b) - weight(a))[0]
  }
}
