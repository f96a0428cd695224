import { readFileSync } from 'node:fs'

/** Ticks a second in /proc/<pid>/stat: 100 on every Linux that runs Node (proc(5), sysconf(_SC_CLK_TCK)). */
const TICKS_PER_S = 100

/** Processor time of a process, its threads included, in seconds. */
export function cpuSeconds(pid: number): number {
  const stat = readFileSync(`/proc/${pid}/stat`, 'latin1')
  // The name in brackets may hold blanks: fields are counted from behind it. utime and stime are fields 14 and 15.
  const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ')
  return (Number(fields[11]) + Number(fields[12])) / TICKS_PER_S
}

/** Resident memory of a process, MB (10^6 bytes). */
export function residentMb(pid: number): number {
  const kib = /^VmRSS:\s+(\d+) kB/m.exec(readFileSync(`/proc/${pid}/status`, 'latin1'))?.[1]
  if (kib === undefined) throw new Error(`Cannot read the memory of process ${pid}: it has ended`)
  return (Number(kib) * 1024) / 1e6
}

export const wait = (ms: number) => new Promise<void>(resolve => setTimeout(resolve, ms))
