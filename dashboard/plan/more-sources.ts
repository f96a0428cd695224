import { OTHER } from './feed-parts.ts'

/** One more source of a feeding: what stands in its two fields. */
export interface MoreSource {
  readonly from: string
  readonly typed: string
}

/** The fields of the nth source of a feeding, the first of the further ones being 2. */
const fieldsOf = (nth: number) => ({ from: `from${nth}`, nauplii: `nauplii${nth}` })

/** What of a form that is half filled in is kept of its further sources. */
export function keptMore(more: readonly MoreSource[]): Record<string, string> {
  return Object.fromEntries(
    more.flatMap(({ from, typed }, at) => {
      const names = fieldsOf(at + 2)
      return [
        [names.from, from],
        [names.nauplii, typed],
      ]
    }),
  )
}

/** The other way: one that is gone by now is something else, so that its number is not lost. */
export function readMore(
  draft: Readonly<Record<string, string>> | null,
  there: readonly string[],
): readonly MoreSource[] {
  const more: MoreSource[] = []
  for (let nth = 2; draft !== null; nth++) {
    const names = fieldsOf(nth)
    const from = draft[names.from]
    const typed = draft[names.nauplii]
    if (from === undefined && typed === undefined) break
    more.push({ from: from !== undefined && there.includes(from) ? from : OTHER, typed: typed ?? '' })
  }
  return more
}
