/** A name as far as there is room for it: without the other unit where that has none; empty where that has none either. */
export function fitting(name: string, room: number, widthOf: (text: string) => number): string {
  return [name, name.replace(/\s\([^()]*\)$/, '')].find(text => widthOf(text) <= room) ?? ''
}
