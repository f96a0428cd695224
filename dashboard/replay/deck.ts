import { html, type TemplateResult } from 'lit'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { zone } from '../state/zone.ts'
import './at-hand.ts'
import type { Shade } from './diagnosed.ts'
import './handle.ts'
import { type Happening, nextMoment } from './happenings.ts'
import { type Player, SPEEDS } from './player.ts'
import type { Recording } from './recording.ts'
import { momentText } from './words.ts'

interface Deck {
  readonly player: Pick<Player, 'playing' | 'times'>
  readonly settings: Settings
  readonly shades: readonly Shade[]
  readonly happenings: readonly Happening[]
  /** The moment that is drawn, Unix ms. */
  readonly atMs: number
  readonly nowMs: number
  /** The vessel is to be seen here: it is out of sight above or below. */
  readonly small: boolean
  /** Nobody plays it yet: on a phone what is read has the room, and all but the play button and the handle waits for its use. */
  readonly atRest: boolean
  readonly onJump: (towards: 1 | -1) => void
  readonly onPlay: () => void
  readonly onSpeed: (event: Event) => void
}

/** The handle and what plays it stay at the foot of the screen, under the thumb. */
export function deck(recording: Recording, of: Deck): TemplateResult {
  const { player, settings, happenings, atMs, nowMs } = of
  const none = (towards: 1 | -1) => nextMoment(happenings, atMs, towards) === null
  return html`<div class="deck ${of.atRest ? 'rest' : ''}" role="group" aria-label="Play the batch">
    ${
      of.small
        ? html`<bw-at-hand
            .recording=${recording}
            .settings=${settings}
            .atMs=${atMs}
            .nowMs=${nowMs}
          ></bw-at-hand>`
        : ''
    }
    <div class="keys">
      <button
        class="quiet far"
        aria-disabled=${none(-1)}
        aria-label="To the happening before"
        @click=${() => of.onJump(-1)}
      >
        ${icon('M19 5 L9 12 L19 19 Z M5 5 V19')}
      </button>
      <button
        class="quiet far"
        aria-disabled=${none(1)}
        aria-label="To the next happening"
        @click=${() => of.onJump(1)}
      >
        ${icon('M5 5 L15 12 L5 19 Z M19 5 V19')}
      </button>
      <select class="far" aria-label="How fast it plays" @change=${of.onSpeed}>
        ${SPEEDS.map(
          speed =>
            html`<option value=${speed.times} ?selected=${speed.times === player.times}>
              ${speed.words}
            </option>`,
        )}
      </select>
      <button aria-label=${player.playing ? 'Pause' : 'Play'} @click=${of.onPlay}>
        ${icon(player.playing ? 'M7 5 V19 M17 5 V19' : 'M7 4 L19 12 L7 20 Z')}
      </button>
    </div>
    <bw-time-handle
      .recording=${recording}
      .shades=${of.shades}
      .happenings=${happenings}
      .atMs=${atMs}
      .text=${momentText(recording, atMs, settings.temperatureUnit, nowMs, zone)}
    ></bw-time-handle>
  </div>`
}

const icon = (path: string) =>
  html`<svg viewBox="0 0 24 24" width="26" height="26" aria-hidden="true">
    <path
      d=${path}
      fill="currentColor"
      stroke="currentColor"
      stroke-width="3"
      stroke-linejoin="round"
      stroke-linecap="round"
    />
  </svg>`
