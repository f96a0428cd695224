import type { DemoTimes } from './cast.ts'

/** Calls for one alarm lie so far apart, h: as the service has it. */
export const CALL_GAP_H = 10 / 60

/** `2 minutes`, `3 hours`; real time, for the person who watches. */
export function realTime(hours: number, speed: number): string {
  const seconds = Math.round((hours * 3600) / speed)
  if (seconds < 100) return `${seconds} seconds`
  const minutes = Math.round(seconds / 60)
  return minutes < 100 ? `${minutes} minutes` : `${Math.round(minutes / 60)} hours`
}

/** What the person who watches will see and hear, and when. */
export function whatHappens(times: DemoTimes, speed: number): string {
  const real = (hours: number) => realTime(hours, speed)
  return `What will happen:
  soon "Heating up" rings for Cone 5 corner, for in about ${real(times.tooHotH)} its water passes 29.4 °C (85 °F). The same alarm then
    reads "Too hot": also if it was acknowledged it rings once more for that, ${real(CALL_GAP_H)} after its first call at the soonest;
  in about ${real(times.pumpFadesH)} the air pump of Cone 6 low shelf begins to fade, and in about ${real(times.airLostH)} too little is left.`
}

/** How what the demo leaves is opened, and what is to be known of it. */
export function keptWords(dir: string): string {
  const folder = /^[\w./-]+$/.test(dir) ? dir : `'${dir.replaceAll("'", `'\\''`)}'`
  return `The data is kept in ${dir}. To open it:
  npm start -- --data ${folder}
Its vessels are invented, and nothing measures them any more: after some minutes they are told as silent.`
}
