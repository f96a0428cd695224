/** What intake needs of a log; pino fits. */
export interface IntakeLogger {
  info(facts: object, text: string): void
  warn(facts: object, text: string): void
  error(facts: object, text: string): void
}

export const SILENT: IntakeLogger = { info() {}, warn() {}, error() {} }
