/** What a schema finds wrong, as far as it is needed to say so. */
export interface Issue {
  readonly code?: string
  readonly path: readonly PropertyKey[]
  readonly message: string
  readonly expected?: unknown
  readonly minimum?: unknown
  readonly maximum?: unknown
  readonly inclusive?: unknown
  readonly origin?: unknown
  readonly values?: unknown
  readonly format?: unknown
}

const KINDS: Readonly<Record<string, string>> = {
  number: 'a number',
  int: 'a whole number',
  string: 'text',
  boolean: 'true or false',
  object: 'an object',
  array: 'a list',
}

/** Says what is wrong with a field in words that somebody who types into it understands. */
export function plainWords(issue: Issue): string {
  switch (issue.code) {
    case 'invalid_type':
      if (issue.message.endsWith('received undefined')) return 'It is missing'
      return `It must be ${KINDS[String(issue.expected)] ?? String(issue.expected)}`
    case 'too_small':
      return bound(issue, Number(issue.minimum), issue.inclusive === false ? 'more than' : 'at least')
    case 'too_big':
      return bound(issue, Number(issue.maximum), issue.inclusive === false ? 'less than' : 'at most')
    case 'invalid_value':
      return `It must be one of ${(issue.values as unknown[]).join(', ')}`
    case 'invalid_union':
      return 'It is none of the kinds that there are'
    case 'invalid_format':
      return issue.format === 'datetime' ? 'It must be a time like 2026-11-25T06:40:00Z' : issue.message
    default:
      return issue.message
  }
}

function bound(issue: Issue, limit: number, relation: string): string {
  if (issue.origin !== 'string') return `It must be ${relation} ${limit}`
  if (issue.code === 'too_small' && limit === 1) return 'It must not be empty'
  return `It must have ${relation} ${limit} characters`
}
