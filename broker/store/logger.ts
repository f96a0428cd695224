/** Where the store tells of what nobody waits for. A pino logger is one. */
export interface StoreLogger {
  info(fields: object, text: string): void
  warn(fields: object, text: string): void
  error(fields: object, text: string): void
}

const nothing = () => undefined
export const SILENT: StoreLogger = { info: nothing, warn: nothing, error: nothing }
