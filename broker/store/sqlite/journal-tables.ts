/** The two tables that packs are first written to, in turn. */
export const JournalTable = { a: 'journal_a', b: 'journal_b' } as const
export type JournalTable = (typeof JournalTable)[keyof typeof JournalTable]

export function otherJournal(table: JournalTable): JournalTable {
  return table === JournalTable.a ? JournalTable.b : JournalTable.a
}
