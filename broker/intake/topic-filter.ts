/** Topic names and topic filters: MQTT 3.1.1 section 4.7. */

/** Longer than this no topic is taken, characters. Own choice; the standard allows 65,535 bytes. */
export const MOST_TOPIC = 256
/** What the house itself speaks on. */
const OWN = 'brinewatch'

/** A name that can be published on: not empty, no wildcard, no null character (clauses 4.7.1-1, 4.7.3-1, 4.7.3-2). */
export function isTopicName(topic: string): boolean {
  return topic.length > 0 && topic.length <= MOST_TOPIC && !/[+#\0]/.test(topic)
}

/** `#` stands alone or last after a `/`, `+` fills a whole level (clauses 4.7.1-2 and 4.7.1-3). */
export function isTopicFilter(filter: string): boolean {
  if (filter.length === 0 || filter.length > MOST_TOPIC || filter.includes('\0')) return false
  const levels = filter.split('/')
  return levels.every((level, at) => {
    if (level === '#') return at === levels.length - 1
    return level === '+' || !/[+#]/.test(level)
  })
}

/** Whether a topic is among those that a filter stands for; one that begins with `$` is not for a leading wildcard (clause 4.7.2-1). */
export function matches(filter: string, topic: string): boolean {
  return covers(filter, topic)
}

/** Whether all topics that `asked` stands for are among those of `allowed`. A topic's name is a filter for itself alone. */
export function covers(allowed: string, asked: string): boolean {
  const [may, wants] = [allowed.split('/'), asked.split('/')]
  if (wants[0]?.startsWith('$') && (may[0] === '#' || may[0] === '+')) return false
  for (let at = 0; at < may.length; at++) {
    // "sport/tennis/player1/#" stands for "sport/tennis/player1", too: section 4.7.1.2.
    if (may[at] === '#') return true
    if (at >= wants.length || wants[at] === '#') return false
    if (may[at] !== '+' && may[at] !== wants[at]) return false
  }
  return wants.length === may.length
}

/** Topics that are not for others: our devices' own, and a broker's own. */
export function isReserved(topic: string): boolean {
  return topic.startsWith('$') || topic === OWN || topic.startsWith(`${OWN}/`)
}
