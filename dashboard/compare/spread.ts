/**
 * Where to write labels that want to stand at `wanted`, in order from above: `apart` from one another, none beyond `low` or `high`, and
 * all in all as near to where they want to be as that leaves room for (least squares; those that push each other share the way).
 * Where there is no room for all, they stand as far apart as there is.
 */
export function spread(wanted: readonly number[], apart: number, low: number, high: number): number[] {
  const gaps = wanted.length - 1
  const gap = gaps > 0 ? Math.min(apart, (high - low) / gaps) : 0
  // With their gaps taken away they may stand on one another, and only must not change their order.
  const heaps: { sum: number; many: number }[] = []
  wanted.forEach((place, index) => {
    let heap = { sum: place - index * gap, many: 1 }
    for (let above = heaps.at(-1); above && mean(above) > mean(heap); above = heaps.at(-1)) {
      heaps.pop()
      heap = { sum: above.sum + heap.sum, many: above.many + heap.many }
    }
    heaps.push(heap)
  })
  const last = Math.max(low, high - Math.max(0, gaps) * gap)
  return heaps
    .flatMap(heap => new Array<number>(heap.many).fill(Math.min(last, Math.max(low, mean(heap)))))
    .map((place, index) => place + index * gap)
}

const mean = ({ sum, many }: { readonly sum: number; readonly many: number }): number => sum / many
