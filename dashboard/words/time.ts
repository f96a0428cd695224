/** Where and how the person reads a clock. */
export interface Zone {
  /** Decides between 24 h and 12 h, and the day's name. */
  readonly locale: string
  /** IANA name, like `Europe/Vienna`. */
  readonly timeZone: string
}

const DAY_MS = 86_400_000
const formatters = new Map<string, Intl.DateTimeFormat>()

function format(zone: Zone, kind: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = `${zone.locale}|${zone.timeZone}|${kind}`
  let formatter = formatters.get(key)
  if (!formatter) {
    formatter = new Intl.DateTimeFormat(zone.locale, { ...options, timeZone: zone.timeZone })
    formatters.set(key, formatter)
  }
  return formatter
}

/** A time is read as one thing: no line ends within it. */
const whole = (text: string): string => text.replace(/\s/gu, '\u00a0')

/** `06:40`, or `6:40 AM` where the locale reads a clock so. */
export function clockTime(atMs: number, zone: Zone): string {
  const probe = format(zone, 'hm', { hour: 'numeric', minute: '2-digit' })
  if (probe.resolvedOptions().hour12) return whole(probe.format(atMs))
  return format(zone, 'hhmm', { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).format(atMs)
}

/** A time of day that is written down as `18:00`, as the person reads a clock. */
export function timeOfDay(hhMm: string, { locale }: Pick<Zone, 'locale'>): string {
  const atMs = Date.parse(`1970-01-01T${hhMm}:00Z`)
  return Number.isNaN(atMs) ? hhMm : clockTime(atMs, { locale, timeZone: 'UTC' })
}

/** A full hour as short as the locale has it: `06:00`, or `6 AM`. */
export function hourTime(atMs: number, zone: Zone): string {
  const hour = format(zone, 'h', { hour: 'numeric' })
  return hour.resolvedOptions().hour12 ? whole(hour.format(atMs)) : clockTime(atMs, zone)
}

/** A day by itself: `Thu`, or `3 Dec` when the weekday would not tell which. */
export function dayName(atMs: number, zone: Zone, far: boolean): string {
  return far
    ? whole(format({ ...zone, locale: 'en-GB' }, 'dm', { day: 'numeric', month: 'short' }).format(atMs))
    : format({ ...zone, locale: 'en' }, 'wd', { weekday: 'short' }).format(atMs)
}

/** Whole days from one moment's calendar day to another's, in the person's zone: 1 means tomorrow. */
export function calendarDays(fromMs: number, toMs: number, zone: Zone): number {
  return Math.round((midnightUtc(toMs, zone) - midnightUtc(fromMs, zone)) / DAY_MS)
}

function midnightUtc(atMs: number, zone: Zone): number {
  const parts = format({ ...zone, locale: 'en-CA' }, 'ymd', {
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  }).format(atMs)
  return Date.parse(`${parts}T00:00:00Z`)
}

/** `''` today, else `tomorrow`, `yesterday`, `Fri` within the week, `3 Dec` beyond. */
export function dayWord(atMs: number, nowMs: number, zone: Zone): string {
  const days = calendarDays(nowMs, atMs, zone)
  if (days === 0) return ''
  if (days === 1) return 'tomorrow'
  if (days === -1) return 'yesterday'
  return dayName(atMs, zone, Math.abs(days) >= 7)
}

/** Clock time with the day before it when that is not today: `tomorrow 06:40`. */
export function moment(atMs: number, nowMs: number, zone: Zone): string {
  const day = dayWord(atMs, nowMs, zone)
  const clock = clockTime(atMs, zone)
  return day === '' ? clock : `${day} ${clock}`
}

/**
 * The same after another moment was said. A time that is not today's always has its day, for who reads one time does not read back;
 * today's has it after another day's.
 */
export function next(atMs: number, previousMs: number, nowMs: number, zone: Zone): string {
  const text = moment(atMs, nowMs, zone)
  const isToday = calendarDays(nowMs, atMs, zone) === 0
  return isToday && calendarDays(nowMs, previousMs, zone) !== 0 ? `today ${text}` : text
}

/** The same in a list of moments: today's have their day too where the list passes midnight. */
export function listed(atMs: number, allMs: readonly number[], nowMs: number, zone: Zone): string {
  const text = moment(atMs, nowMs, zone)
  const isToday = calendarDays(nowMs, atMs, zone) === 0
  return isToday && passesMidnight(allMs, zone) ? `today ${text}` : text
}

/** A clock time in a list of long ago: with its date where the list passes midnight, for a weekday alone tells no week. */
export function clockListed(atMs: number, allMs: readonly number[], zone: Zone): string {
  const clock = clockTime(atMs, zone)
  return passesMidnight(allMs, zone) ? `${dayName(atMs, zone, true)} ${clock}` : clock
}

function passesMidnight(allMs: readonly number[], zone: Zone): boolean {
  const [first] = allMs
  return first !== undefined && allMs.some(atMs => calendarDays(first, atMs, zone) !== 0)
}

/** From one moment to another as one thing: `06:40–09:10`, `tomorrow 06:40–09:10`, `22:00–tomorrow 02:00`. */
export function span(fromMs: number, toMs: number, nowMs: number, zone: Zone): string {
  const to = calendarDays(fromMs, toMs, zone) === 0 ? clockTime(toMs, zone) : next(toMs, fromMs, nowMs, zone)
  return `${moment(fromMs, nowMs, zone)}–${to}`
}

/** How long, in the largest unit that still says enough: `12 s`, `4 min`, `3 h 20 min`, `2 days`. */
export function duration(ms: number): string {
  const s = Math.max(0, Math.round(ms / 1000))
  if (s < 60) return `${s} s`
  const min = Math.floor(s / 60)
  if (min < 60) return `${min} min`
  const h = Math.floor(min / 60)
  if (h < 10) return min % 60 === 0 ? `${h} h` : `${h} h ${min % 60} min`
  if (h < 48) return `${h} h`
  return `${Math.floor(h / 24)} days`
}

/** So long a time is given to the second, ms: what was set to 100 s is not 1 min. */
const EXACT_MS = 10 * 60_000

/** A length of time that was set, or measured once, to the second while it is short: `1 min 40 s`, `3 min`, `3 h 20 min`. */
export function exactly(ms: number): string {
  const s = Math.max(0, Math.round(ms / 1000))
  if (s < 60 || s * 1000 >= EXACT_MS || s % 60 === 0) return duration(ms)
  return `${Math.floor(s / 60)} min ${s % 60} s`
}

/** `YYYY-MM-DDTHH:MM` in the person's zone, as a datetime-local field takes it. */
export function localInput(atMs: number, zone: Zone): string {
  const parts = new Intl.DateTimeFormat('en-CA', {
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
    timeZone: zone.timeZone,
  }).formatToParts(atMs)
  const part = (type: string) => parts.find(each => each.type === type)?.value ?? ''
  return `${part('year')}-${part('month')}-${part('day')}T${part('hour')}:${part('minute')}`
}
