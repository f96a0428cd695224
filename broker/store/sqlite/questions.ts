import type { Columnar } from '../codec/columns.ts'
import type { Columns, HistoryQuery, LatestRow, Source } from '../contract.ts'
import { writeBackup } from './backup.ts'
import { type Db, openForReading } from './database.ts'
import type { JournalTable } from './journal-tables.ts'
import { Packer } from './packer.ts'
import type { DropQuestion, PackingPlan, PackingStep, RepackQuestion } from './packing.ts'
import { Reader } from './reader.ts'

/** What can be asked of the readings on disk, and what comes back. */
export interface Questions {
  history: { ask: HistoryQuery; answer: Record<string, Columns> }
  samples: { ask: readonly Source[]; answer: Columnar }
  latest: { ask: null; answer: LatestRow[] }
  seal: { ask: JournalTable; answer: PackingPlan }
  repack: { ask: RepackQuestion; answer: PackingStep }
  drop: { ask: DropQuestion; answer: PackingStep }
  holdsLoose: { ask: number; answer: boolean }
  backup: { ask: string; answer: void }
}
export type Kind = keyof Questions

export type Ask = <K extends Kind>(kind: K, ask: Questions[K]['ask']) => Questions[K]['answer']

/** Opens the file for reading; every answer is found within one transaction, so that it is of one moment. */
export function openQuestions(file: string): { ask: Ask; close: () => void } {
  const db: Db = openForReading(file)
  const reader = new Reader(db)
  const packer = new Packer(db)
  const answers: { [K in Kind]: (ask: Questions[K]['ask']) => Questions[K]['answer'] } = {
    history: query => reader.history(query),
    samples: sources => reader.samples(sources),
    latest: () => reader.latest(),
    seal: table => packer.seal(table),
    repack: question => packer.repack(question),
    drop: question => packer.drop(question),
    holdsLoose: beforeMs => packer.holdsLoose(beforeMs),
    backup: file => writeBackup(db, file),
  }
  return {
    // The copying of a whole file makes a transaction of its own.
    ask: (kind, ask) => (kind === 'backup' ? answers[kind](ask) : db.transaction(() => answers[kind](ask))()),
    close: () => db.close(),
  }
}
