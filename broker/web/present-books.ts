import type { CleaningReason } from '../hatch/care/cleaning.ts'
import type {
  CleaningEntry as RoomCleaning,
  CleaningView,
  Draw as RoomDraw,
  HeldView,
  LotChart,
  LotDetail as RoomLotDetail,
  LotOnShelf as RoomLot,
  Walk as RoomWalk,
  Weighing as RoomWeighing,
} from '../room/books/contract.ts'
import type {
  CleaningEntry,
  CleaningList,
  ControlChart,
  Draw,
  HeldPortion,
  LotDetail,
  LotOnShelf,
  Walk,
  Weighing,
} from './api/books.ts'
import { LOT_ADVICE } from './lot-advice.ts'
import { lot as learnedLot } from './present-batch.ts'
import { iso, isoOrNull } from './times.ts'

/** What the books are to the API: see `present.ts`. */

export function lot(of: RoomLot): LotOnShelf {
  const { id, name, openedOn, keptIn, gramsBought, bestBefore, note, gramsLeft, drawnG, isOverdrawn } = of
  return {
    id,
    name,
    openedOn,
    keptIn,
    gramsBought,
    bestBefore,
    note,
    createdAt: iso(of.createdAtMs),
    putAwayAt: isoOrNull(of.endedAtMs),
    gramsLeft,
    drawnG,
    isOverdrawn,
    useBy: of.useBy && { from: iso(of.useBy.fromMs), until: iso(of.useBy.untilMs), why: of.useBy.why },
    learned: of.learned && learnedLot(of.learned),
    quality: of.quality,
    advice: LOT_ADVICE[of.quality],
  }
}

export function lotDetail(of: RoomLotDetail): LotDetail {
  return {
    ...lot(of),
    judgedBy: of.judgedBy,
    charts: {
      naupliiPerG: chart(of.charts['nauplii-per-g']),
      hatchPercentage: chart(of.charts['hatch-percentage']),
    },
    weighings: of.weighings.map(weighing),
  }
}

function chart({ chart: { values, limits }, batchIds }: LotChart): ControlChart {
  return {
    values: values.map(({ atMs, value, low, high, signs }, at) => ({
      batchId: batchIds[at] ?? '',
      at: iso(atMs),
      value,
      low,
      high,
      signs: [...signs],
    })),
    limits,
  }
}

export function weighing({ atMs, recordedAtMs, withdrawnAtMs, ...rest }: RoomWeighing): Weighing {
  return { ...rest, at: iso(atMs), recordedAt: iso(recordedAtMs), withdrawnAt: isoOrNull(withdrawnAtMs) }
}

export function walk({ id, kind, vesselId, batchId, by, ...of }: RoomWalk): Walk {
  const steps = Object.entries(of.steps).map(([step, atMs]) => ({ step, atMs }))
  return {
    id,
    kind,
    vesselId,
    batchId,
    by,
    startedAt: iso(of.startedAtMs),
    steps: steps.sort((a, b) => a.atMs - b.atMs).map(({ step, atMs }) => ({ step, at: iso(atMs) })),
    draft: { ...of.draft },
    changes: of.changes,
    settlesAt: isoOrNull(of.settlesAtMs),
  }
}

export function held({
  takenAtMs,
  firstOutAtMs,
  meanAgeH,
  ageAtTakingH: _ageAtTakingH,
  energyAtTaking: _energyAtTaking,
  age,
  state,
  draws,
  ...rest
}: HeldView): HeldPortion {
  const { heldH, untilMs, isOver, energyLeft } = state
  return {
    ...rest,
    takenAt: iso(takenAtMs),
    firstOutAt: isoOrNull(firstOutAtMs),
    heldH,
    ageH: age.ageH,
    ageKnown: meanAgeH !== null,
    until: iso(untilMs),
    isOver,
    energyLeft: { ...energyLeft },
    draws: draws.map(draw),
  }
}

export function draw({ atMs, recordedAtMs, withdrawnAtMs, ...rest }: RoomDraw): Draw {
  return { ...rest, at: iso(atMs), recordedAt: iso(recordedAtMs), withdrawnAt: isoOrNull(withdrawnAtMs) }
}

export function cleaning({ atMs, recordedAtMs, withdrawnAtMs, ...rest }: RoomCleaning): CleaningEntry {
  return { ...rest, at: iso(atMs), recordedAt: iso(recordedAtMs), withdrawnAt: isoOrNull(withdrawnAtMs) }
}

export function cleaningOf(of: CleaningView): CleaningList['vessels'][number] {
  return {
    vesselId: of.vesselId,
    isEmpty: of.isEmpty,
    hotWater: of.hotWater && reason(of.hotWater),
    disinfect: of.disinfect && reason(of.disinfect),
    lastCleanedAt: isoOrNull(of.lastCleanedAtMs),
    lastDisinfectedAt: isoOrNull(of.lastDisinfectedAtMs),
    batchesSince: of.batchesSince,
    log: of.log.map(cleaning),
  }
}

const reason = (of: CleaningReason) => ({ name: of.name, words: reasonWords(of) })

function reasonWords(of: CleaningReason): string {
  switch (of.name) {
    case 'after-batch':
      return 'Its last batch has ended.'
    case 'batches':
      return `${of.batches} batches since it was disinfected.`
    case 'days':
      return `${of.days} days since it was disinfected.`
    case 'hatch-declines':
      return `The hatch of ${of.lot} declines: the vessel is the first suspect.`
  }
}
