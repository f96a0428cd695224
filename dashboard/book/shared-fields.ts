/** Fields that are typed on several screens at once, by their names. */
export type Fields = Readonly<Record<string, string>>

/** What was written in one field on two screens: which of them stands, and what the other wrote. */
export interface Clash {
  readonly stands: string
  readonly other: string
  /** Whether what was written here stands. */
  readonly here: boolean
}

/** Typed here and not known to be kept: with what stood there before, so that it can be told whether somebody else wrote meanwhile. */
export interface Unsent {
  readonly typed: Fields
  readonly over: Fields
}

/** One form on this screen, beside what the broker keeps of it for all screens. */
export interface SharedFields {
  readonly shown: Fields
  /** As the broker last told it. */
  readonly kept: Fields
  readonly unsent: Unsent
  /** On its way to the broker: what comes back of it is no news. */
  readonly sending: Fields
  /** What was written here last, sent or not. */
  readonly own: Fields
  readonly clashes: Readonly<Record<string, Clash>>
}

export const NOTHING_UNSENT: Unsent = { typed: {}, over: {} }

/** As it was kept on this screen; by an older version the fields alone. */
export function unsentOf(kept: Unsent | Fields | null): Unsent {
  if (kept === null) return NOTHING_UNSENT
  return typeof kept['typed'] === 'object' ? (kept as Unsent) : { typed: kept as Fields, over: {} }
}

/** The form as it is opened: what this screen had not sent any more is in it again, unless another wrote there since. */
export function openFields(kept: Fields, before: Unsent): SharedFields {
  const shown = { ...kept }
  const typed: Record<string, string> = {}
  const over: Record<string, string> = {}
  const clashes: Record<string, Clash> = {}
  for (const [name, mine] of Object.entries(before.typed)) {
    const now = kept[name] ?? ''
    if (now === mine) continue
    if (now === (before.over[name] ?? now)) {
      shown[name] = typed[name] = mine
      over[name] = now
    } else clashes[name] = { stands: now, other: mine, here: false }
  }
  return { shown, kept, unsent: { typed, over }, sending: {}, own: { ...typed }, clashes }
}

/** Somebody types here: whatever was said of these fields is settled by that. */
export function typedHere(fields: SharedFields, part: Fields): SharedFields {
  const over = { ...fields.unsent.over }
  for (const name of Object.keys(part)) over[name] ??= fields.kept[name] ?? ''
  return {
    ...fields,
    shown: { ...fields.shown, ...part },
    unsent: { typed: { ...fields.unsent.typed, ...part }, over },
    own: { ...fields.own, ...part },
    clashes: without(fields.clashes, Object.keys(part)),
  }
}

/**
 * What the broker keeps by now. A field that nobody types here follows; one that is typed here stays and will be sent. Where two
 * wrote otherwise, what does not stand is told beside it: nothing that was written is lost.
 */
export function keptByNow(fields: SharedFields, kept: Fields): SharedFields {
  const shown: Record<string, string> = { ...fields.shown }
  const own: Record<string, string> = { ...fields.own }
  const typed: Record<string, string> = { ...fields.unsent.typed }
  const over: Record<string, string> = { ...fields.unsent.over }
  const clashes: Record<string, Clash> = { ...fields.clashes }
  for (const [name, now] of Object.entries(kept)) {
    const mine = typed[name]
    if (mine !== undefined) {
      if (now === mine) {
        delete typed[name]
        delete over[name]
      } else if (now !== over[name] && now !== fields.sending[name]) {
        clashes[name] = { stands: mine, other: now, here: true }
        over[name] = now
      }
      continue
    }
    if (now === shown[name]) continue
    // What is still told beside a field stays told while the other types on.
    const wrote = own[name] ?? clashes[name]?.other
    if (wrote !== undefined && wrote !== now) clashes[name] = { stands: now, other: wrote, here: false }
    else delete clashes[name]
    delete own[name]
    shown[name] = now
  }
  return {
    ...fields,
    shown,
    kept: { ...fields.kept, ...kept },
    unsent: { typed, over },
    own,
    clashes,
  }
}

/** The broker has kept these as they were sent from here. What was typed on meanwhile is still to be sent. */
export function sentFrom(fields: SharedFields, part: Fields): SharedFields {
  const typed: Record<string, string> = { ...fields.unsent.typed }
  const over: Record<string, string> = { ...fields.unsent.over }
  for (const [name, value] of Object.entries(part)) {
    if (typed[name] === value) {
      delete typed[name]
      delete over[name]
    } else if (name in typed) over[name] = value
  }
  return { ...fields, kept: { ...fields.kept, ...part }, unsent: { typed, over }, sending: {} }
}

/** It is as it should be: no more is said of it. */
export const settled = (fields: SharedFields, name: string): SharedFields => ({
  ...fields,
  clashes: without(fields.clashes, [name]),
})

function without<Of>(all: Readonly<Record<string, Of>>, names: readonly string[]): Record<string, Of> {
  return Object.fromEntries(Object.entries(all).filter(([name]) => !names.includes(name)))
}
