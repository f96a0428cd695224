import { storeRefusals } from '../conformance-refusals.ts'
import { sqlitePlace } from './place.ts'

// What the writing thread could do otherwise than the caller's: whom it refuses, and what it takes back.
storeRefusals('SQLite with its threads', () => sqlitePlace({}))
