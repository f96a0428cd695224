import type { AuditRow, Store } from './store/contract.ts'

/** Who did something that matters for safety, from where. Never holds a secret. */
export interface Act {
  /** What was done, in words: `signed in`, `token added`. */
  readonly act: string
  /** What it was done to: a name, an id, a path. */
  readonly subject?: string
  /** A person's or a token's name, `owner`, or `the command line`. */
  readonly who: string
  readonly role: string | null
  /** Of the other side of the connection; `null` for the command line. */
  readonly address: string | null
  /** It was tried, and refused. */
  readonly failed?: boolean
}

/** Texts longer than this are cut: they may come from whoever wants to fill the log. */
const LONGEST = 120

/** Adds a line. What controls a terminal or begins a new line is taken out: the log is read in both. */
export async function keepAct(store: Pick<Store, 'keepAudit'>, act: Act, nowMs: number): Promise<void> {
  await store.keepAudit({
    atMs: nowMs,
    act: clean(act.act),
    subject: act.subject === undefined ? null : clean(act.subject),
    who: clean(act.who),
    role: act.role,
    address: act.address === null ? null : clean(act.address),
    failed: act.failed ?? false,
  } satisfies Omit<AuditRow, 'id'>)
}

const clean = (text: string): string => text.replaceAll(/[\p{C}\p{Zl}\p{Zp}]/gu, ' ').slice(0, LONGEST)

/** For what is done at the machine itself. */
export const commandLine = { who: 'the command line', role: 'owner', address: null } as const

/** Writes down what a command did. */
export function keepCommand(
  store: Pick<Store, 'keepAudit'>,
  act: string,
  subject: string,
  nowMs: number,
): Promise<void> {
  return keepAct(store, { ...commandLine, act, subject }, nowMs)
}
