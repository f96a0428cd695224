import { storeConformance } from '../conformance.ts'
import { sqlitePlace } from './place.ts'

storeConformance('SQLite', () => sqlitePlace())
