import { lazyPage } from '../frame/lazy.ts'

export const journalPage = lazyPage(() => import('../views/journal.ts'), 'Opening the journal…')
export const tryOutPage = lazyPage(() => import('../views/try-out.ts'), 'Laying out the batches…')
