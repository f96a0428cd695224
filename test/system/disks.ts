import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** A small disk of its own, for tests that fill or break it. */
export interface Disk {
  readonly dir: string
  /** Takes no more writes, though files are open: what the kernel does with a card that gave errors (ext4(5), errors=remount-ro). */
  breakDown(): void
  dispose(): void
}

/** Why there can be no such disk here; `null` when there can. */
export const whyNoDisk: string | null =
  process.platform !== 'linux' || process.getuid?.() !== 0
    ? 'needs root on Linux, to mount a disk of its own'
    : probe()

/** Of ext4 in a file, mounted by a loop device. */
export function smallDisk(mebibytes: number): Disk {
  const base = mkdtempSync(join(tmpdir(), 'brinewatch-disk-'))
  const [image, dir] = [join(base, 'image'), join(base, 'data')]
  run('truncate', '-s', `${mebibytes}M`, image)
  run('mkfs.ext4', '-q', '-m', '0', image)
  run('mkdir', dir)
  run('mount', '-o', 'loop', image, dir)
  return {
    dir,
    breakDown: () => run('mount', '-o', 'remount,abort', dir),
    dispose() {
      run('umount', '-l', dir)
      rmSync(base, { recursive: true, force: true })
    },
  }
}

function run(command: string, ...args: string[]): void {
  const { status, stderr, error } = spawnSync(command, args, { encoding: 'utf8' })
  if (status !== 0) throw new Error(`${command} ${args.join(' ')}: ${error?.message ?? stderr}`)
}

function probe(): string | null {
  try {
    smallDisk(4).dispose()
    return null
  } catch (error) {
    return `cannot mount a disk of its own: ${error instanceof Error ? error.message : String(error)}`
  }
}
