import { PLAIN } from '../scenario.ts'

export const healthy = PLAIN
