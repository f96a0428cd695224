/**
 * A name as far as there is room for it: without the other unit where that has none, without its figure where the axis has to do for
 * that; empty where there is no room for anything.
 */
export function fitting(name: string, room: number, widthOf: (text: string) => number): string {
  const inOneUnit = name.replace(/\s\([^()]*\)$/, '')
  return (
    [name, inOneUnit, inOneUnit.replace(/\s(from|below)\s.*$/, '')].find(text => widthOf(text) <= room) ?? ''
  )
}
