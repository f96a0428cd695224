const WORDS: Readonly<Record<string, string>> = {
  'not-senml': 'not in the agreed form',
  'bad-record': 'one record makes no sense',
  'bad-unit': 'a unit that does not fit',
  'bad-time': 'a time that cannot be right',
  'bad-topic': 'sent to a topic that is none',
  'bad-state': 'a state that cannot be read',
  'too-large': 'too large',
}

/** Why a message was set aside, in plain words; a reason not known here is shown as it is. */
export const quarantineWord = (reason: string): string => WORDS[reason] ?? reason.replaceAll('-', ' ')
