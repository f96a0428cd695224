import { afterAll, beforeAll, describe } from 'vitest'
import { storeConformance } from '../conformance.ts'
import { type Cluster, postgresPrograms, startCluster, WHY_SKIPPED } from './cluster.ts'
import { postgresPlace } from './place.ts'

describe.skipIf(postgresPrograms() === null)(`PostgreSQL (${WHY_SKIPPED})`, () => {
  let cluster: Cluster
  beforeAll(async () => {
    cluster = await startCluster()
  })
  afterAll(() => cluster.stop())

  storeConformance('PostgreSQL', () => postgresPlace(cluster))
})
