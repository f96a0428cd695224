import { storeConformance } from '../conformance.ts'
import { sqlitePlace } from './place.ts'

storeConformance('SQLite with its threads', () => sqlitePlace({}))
