import type { Pair } from './make.ts'

/** What a server encrypts with, and word of what takes its place while it runs. */
export interface TlsSource {
  readonly pair: Pair
  onChange(listener: (pair: Pair) => void): void
}
