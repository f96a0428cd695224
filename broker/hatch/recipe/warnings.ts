import { Buffer } from './buffer.ts'

/** Something in the wish itself that is not wise. */
export interface Warning {
  /** The field that it is about. */
  readonly field: 'litres' | 'salinityGpl' | 'cystsGpl' | 'waterC' | 'buffer'
  readonly id:
    | 'salt-blocks-hatch'
    | 'salt-above-best'
    | 'salt-below-plateau'
    | 'salt-below-best'
    | 'too-many-cysts'
    | 'water-too-hot'
    | 'water-cool'
    | 'no-buffer'
    | 'magnesium-is-no-buffer'
  readonly words: string
}

interface Wish {
  readonly litres: number
  readonly salinityGpl: number
  readonly cystsGpl: number
  readonly waterC: number
  readonly mostGpl: number
  readonly tooMany: boolean
  readonly buffer: Buffer
}

/** Where the trade takes water to kill, °C (85 °F): common practice, no source. */
const TRADE_LIMIT_C = 29.4
/** Below it hatching is slower: FAO 428, Annex 4. */
const COOL_C = 25

/** What is to be warned of, the gravest first. The limits are those of the handbooks, see the effects. */
export function warningsOf(wish: Wish): Warning[] {
  return [salt(wish.salinityGpl), cysts(wish), warmth(wish.waterC), buffer(wish.buffer)].flat()
}

function salt(salinityGpl: number): Warning[] {
  const field = 'salinityGpl'
  if (salinityGpl >= 85)
    return [
      {
        field,
        id: 'salt-blocks-hatch',
        words: 'Above 85 to 90 g/L cysts cannot take up water: nothing will hatch.',
      },
    ]
  if (salinityGpl > 35)
    return [
      {
        field,
        id: 'salt-above-best',
        words: 'More salt than is called best (5 to 35 g/L). It gains nothing that is known.',
      },
    ]
  if (salinityGpl < 5)
    return [
      {
        field,
        id: 'salt-below-best',
        words: 'Less salt than is called best (5 to 35 g/L). What it costs is not known.',
      },
    ]
  if (salinityGpl < 20)
    return [
      {
        field,
        id: 'salt-below-plateau',
        words: 'From 20 to 35 g/L all hatch alike. Below, some cysts hatch much less and others do not mind.',
      },
    ]
  return []
}

function cysts({ tooMany, mostGpl, litres, cystsGpl }: Wish): Warning[] {
  if (!tooMany) return []
  const most = Number((mostGpl * litres).toFixed(1))
  return [
    {
      field: 'cystsGpl',
      id: 'too-many-cysts',
      words: `${Number(cystsGpl.toFixed(2))} g/L is too many cysts: fewer of them hatch, and the air is used up sooner. Take at most ${mostGpl} g/L, ${most} g here.`,
    },
  ]
}

function warmth(waterC: number): Warning[] {
  const field = 'waterC'
  if (waterC >= TRADE_LIMIT_C)
    return [
      {
        field,
        id: 'water-too-hot',
        words: 'The trade takes 29.4 °C (85 °F) and above to kill: keep it cooler.',
      },
    ]
  if (waterC < COOL_C)
    return [{ field, id: 'water-cool', words: 'Below 25 °C (77 °F) it hatches later, not less.' }]
  return []
}

function buffer(wanted: Buffer): Warning[] {
  const field = 'buffer'
  if (wanted === Buffer.none)
    return [{ field, id: 'no-buffer', words: 'Without a buffer, measure the pH: it must stay above 8.' }]
  if (wanted === Buffer.magnesiumSulphate)
    return [
      {
        field,
        id: 'magnesium-is-no-buffer',
        words: 'Magnesium sulphate is no buffer: it does not hold the pH. No dose of it is given here.',
      },
    ]
  return []
}
