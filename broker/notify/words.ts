import type { Alarm } from '../rules/alarm.ts'
import { Occasion } from './contract.ts'

/** A subject line on a phone shows some forty characters; what to do comes first, and the rest is cut. */
const TITLE_LENGTH = 150

export interface Words {
  readonly title: string
  readonly text: string
}

/** What a person is told of an alarm: what to do first, then where, then all of it. */
export function alarmWords(alarm: Alarm, where: string | null, occasion: Occasion): Words {
  const place = where ?? 'The room'
  if (occasion === Occasion.over) {
    return { title: oneLine(`Over: ${place}`), text: `${place} is back to normal. Before:\n${alarm.text}` }
  }
  const first = alarm.action === '' ? alarm.text : alarm.action
  const again = occasion === Occasion.again ? 'It still stands.\n' : ''
  const why = occasion === Occasion.escalated ? 'Nobody who was called before you has answered.\n' : ''
  return { title: oneLine(`${first} (${place})`), text: `${again}${why}${alarm.text}` }
}

/** What a person is told who tries out whether a message arrives. */
export function testWords(name: string): Words {
  return {
    title: 'Nothing to do: this is a test',
    text: `This message was sent to see whether ${name} can be reached this way. It arrived: nothing else is to be done.`,
  }
}

/** Names come from people: whatever they hold, a title is one line of a bounded length. */
export function oneLine(text: string): string {
  const plain = text.replace(/[\u0000-\u001f\u007f\u2028\u2029]+/g, ' ').trim()
  return plain.length <= TITLE_LENGTH ? plain : `${plain.slice(0, TITLE_LENGTH - 1).trimEnd()}…`
}
