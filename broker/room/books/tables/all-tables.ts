import { feedingTables } from '../../feeding/tables.ts'
import type { BookParts } from '../parts.ts'
import { cleaningTable, drawTable, heldTable, lotTable, presetTable, weighingTable } from './book-tables.ts'
import type { Table } from './contract.ts'
import { countTable } from './count-table.ts'
import { batchTable, logTable, vesselTable } from './house-tables.ts'

/** In the order in which one leans on another: a batch needs its vessel, an entry its batch, a feeding its fry. */
export function allTables(parts: BookParts): Table[] {
  return [
    vesselTable(parts),
    lotTable(parts),
    presetTable(parts),
    batchTable(parts),
    logTable(parts),
    countTable(parts),
    heldTable(parts),
    drawTable(parts),
    weighingTable(parts),
    cleaningTable(parts),
    ...feedingTables(parts.store),
  ]
}
