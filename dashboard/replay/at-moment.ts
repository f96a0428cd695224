import { LitElement } from 'lit'
import type { Settings } from '../../broker/web/api/schemas.ts'
import type { Recording } from './recording.ts'

/** A part of the replay that shows one moment of a recording. */
export abstract class AtMoment extends LitElement {
  static override properties = {
    recording: { attribute: false },
    settings: { attribute: false },
    atMs: { attribute: false },
    nowMs: { attribute: false },
  }
  declare recording: Recording | null
  declare settings: Settings | null
  declare atMs: number
  declare nowMs: number

  constructor() {
    super()
    this.recording = null
    this.settings = null
    this.atMs = 0
    this.nowMs = 0
  }
}
