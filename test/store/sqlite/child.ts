// Runs apart, to be killed. `hold DIR` opens the store and tells when bench-9 was added by another process; `keep DIR`
// keeps one pack after the other and prints each one's number, with a full stop, once it is kept.
import { openStore } from '../../../broker/store/sqlite/open.ts'
import { pack } from '../examples.ts'

const [, , what, dir] = process.argv
const store = await openStore({ dir: dir!, threads: false })
process.stdout.write('open\n')
if (what === 'hold') {
  const watch = setInterval(() => {
    void store.deviceSecret('bench-9').then(secret => {
      if (secret === undefined) return
      process.stdout.write(`bench-9 ${secret}\n`)
      clearInterval(watch)
    })
  }, 20)
  setInterval(() => undefined, 1000)
} else {
  for (let seq = (store.seen('bench-1', 'b1')[0]?.[1] ?? -1) + 1; ; seq++) {
    await store.keepPack(pack(seq))
    process.stdout.write(`${seq}.\n`)
  }
}
