import type { LotQuality } from '../hatch/lot/quality.ts'

/** What to do about a lot, in plain words. */
export const LOT_ADVICE: Readonly<Record<LotQuality, string>> = {
  unseen: 'Nothing was seen of it yet. Count its first harvests: two tell how good it is.',
  learning: 'One more counted harvest, and its verdict is worth something.',
  steady:
    'Nothing to do: its batches differ by no more than chance does, apart from any that failed by themselves.',
  weak: 'Fewer hatch than of a good lot. Take more of it for the same food, or replace it. A small trial of another lot beside it, under the same lamp, tells whether it is the lot or how it is set up.',
  uneven: 'Set its next batches up alike, and count each in the same way: then a decline would show.',
  declining:
    'Clean and disinfect the vessel first, and check the probe; if the next two harvests are no better, the lot has aged or got damp.',
  // Diapause can persist in a lot for months; cold and peroxide end it in some strains (FAO Fisheries Technical Paper 361, from memory).
  dormant:
    'It never hatched well, and it is within its date: its cysts may sleep rather than be dead. Keep a part of it dry in the freezer for one to two months and try again, or soak a small part as is published for its strain; count both against an untreated part.',
  'gone-bad':
    'So few hatch, for so long, that another lot costs less. Keep no more of it than a trial needs.',
}
